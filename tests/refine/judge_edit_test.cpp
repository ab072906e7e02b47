#include "refine/judge_edit.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

const Point centre{200, 200};

// A circle of 100 px in four cubics with handles of 4/3 tan(pi/8) = 0.5523 radii, which lie within 0.027 px of it
// (Goldapp, Approximation of circular arcs by cubic polynomials, 1991), and the same with one node moved outwards.
struct Moved {
  SpacedLoop loop = support::exact_loop(support::circle_points(centre, 100, 0.1), 0.5);
  DraftLoop draft = support::draft_of(loop, support::circle(centre, 100, 4, support::standard_handle(4), 1, 0.1));
  std::stop_token stop;
  long work = 0;
  EditContext context() { return {loop, false, stop, 1, &work}; }

  EditCandidate node_moved_by(double px, std::span<const SolveStep> how, Allowance allowance) const {
    DraftLoop next = draft;
    next.nodes[1].at = next.nodes[1].at + px * unit(next.nodes[1].at - centre);
    const Window all = Window::all(draft);
    return {std::move(next), all, all, {}, how, allowance};
  }
};

TEST(JudgeEdit, WhatLiesWithinTheLimitStaysAsItWasProposed) {
  Moved m;
  const auto kept = judge_edit(m.context(), m.draft, m.node_moved_by(0.3, steps::none, allowance::hold));
  ASSERT_TRUE(kept);
  EXPECT_NEAR(distance(kept->nodes[1].at, centre), 100.3, 1e-9);
  EXPECT_EQ(m.work, 0) << "nothing was solved";
}

TEST(JudgeEdit, WhatLiesBeyondTheLimitIsRefusedAndLeavesNoTrace) {
  Moved m;
  const DraftLoop before = m.draft;
  EXPECT_FALSE(try_edit(m.context(), m.node_moved_by(0.8, steps::none, allowance::hold), &m.draft));
  EXPECT_EQ(m.draft.nodes[1].at, before.nodes[1].at);
}

TEST(JudgeEdit, SolvingBringsItBack) {
  Moved m;
  ASSERT_TRUE(try_edit(m.context(), m.node_moved_by(3, steps::usual, allowance::hold), &m.draft));
  EXPECT_LT(local_error(m.loop, m.draft, Window::all(m.draft)).max_px, 0.05);
  EXPECT_GT(m.work, 0);
}

TEST(JudgeEdit, AHopelessStepEndsTheTrial) {
  Moved m;
  constexpr SolveStep gives_up[] = {{{.rounds = 0}, 2}, {}};
  EXPECT_FALSE(judge_edit(m.context(), m.draft, m.node_moved_by(3, gives_up, allowance::hold)));
  EXPECT_EQ(m.work, 0) << "the step that solves was not taken";
  EXPECT_TRUE(judge_edit(m.context(), m.draft, m.node_moved_by(0.9, gives_up, allowance::hold)));
}

TEST(JudgeEdit, AStepThatHoldsEndsTheTrialUnlessTheNextBelongsToIt) {
  Moved m;
  constexpr SolveStep one[] = {{{.rounds = 1}}, {{.rounds = 2}}},
                      both[] = {{{.rounds = 1}, 2.5, true}, {{.rounds = 2}}};
  ASSERT_TRUE(judge_edit(m.context(), m.draft, m.node_moved_by(0.3, one, allowance::hold)));
  const long first = m.work;
  ASSERT_TRUE(judge_edit(m.context(), m.draft, m.node_moved_by(0.3, both, allowance::hold)));
  EXPECT_EQ(m.work - first, 3 * first);
}

TEST(JudgeEdit, WhatWasOffBeforeMayStayOff) {
  Moved m;
  m.draft = m.node_moved_by(2, steps::none, allowance::hold).next;
  EXPECT_TRUE(judge_edit(m.context(), m.draft, m.node_moved_by(0, steps::none, {1, 1})));
  EXPECT_FALSE(judge_edit(m.context(), m.draft, m.node_moved_by(0, steps::none, {1, 0.9})));
  EXPECT_FALSE(judge_edit(m.context(), m.draft, m.node_moved_by(0.5, steps::none, {1, 1})));
}

TEST(JudgeEdit, SquaredDistancesMayRiseByTheirPrice) {
  Moved m;
  m.loop.sigma_px = 0.2, m.loop.correlation_px = 5;
  const EditCandidate moved = m.node_moved_by(0.4, steps::none, {1, 0, 0});
  const double unit_px3 = 0.2 * 0.2 * 2 * 5;
  const double rise = local_error(m.loop, moved.next, moved.is).sum2 - local_error(m.loop, m.draft, moved.was).sum2;
  ASSERT_GT(rise, unit_px3);
  const auto stays_for = [&](double draws) {
    return judge_edit(m.context(), m.draft, m.node_moved_by(0.4, steps::none, {1, 0, draws})).has_value();
  };
  EXPECT_TRUE(stays_for(1.01 * rise / unit_px3));
  EXPECT_FALSE(stays_for(0.99 * rise / unit_px3));
  EXPECT_FALSE(stays_for(-0.1)) << "they did not fall";
}

TEST(JudgeEdit, AGainMustBeWorthItsPrice) {
  Moved m;
  m.loop.sigma_px = 0.2, m.loop.correlation_px = 5;
  const DraftLoop better = m.draft;
  m.draft = m.node_moved_by(0.4, steps::none, allowance::hold).next;
  const Window all = Window::all(m.draft);
  const double gain = local_error(m.loop, m.draft, all).sum2 - local_error(m.loop, better, all).sum2;
  const double draws = gain / (0.2 * 0.2 * 2 * 5);
  const auto stays_for = [&](double price) {
    return judge_edit(m.context(), m.draft, {better, all, all, {}, steps::none, allowance::bend(price)}).has_value();
  };
  EXPECT_TRUE(stays_for(0.99 * draws));
  EXPECT_FALSE(stays_for(1.01 * draws));
}

TEST(JudgeEdit, ThePromiseIsAskedOfTheSolvedOutline) {
  Moved m;
  double asked_px = 0;
  EditCandidate edit = m.node_moved_by(3, steps::usual, allowance::hold);
  edit.keeps_promise = [&](const DraftLoop& solved) {
    asked_px = distance(solved.nodes[1].at, centre);
    return false;
  };
  EXPECT_FALSE(judge_edit(m.context(), m.draft, std::move(edit)));
  EXPECT_NEAR(asked_px, 100, 0.1);
}

}  // namespace
}  // namespace batten
