#include "straighten/try_proposals.h"

#include <gtest/gtest.h>

#include <cmath>

#include "refine/joint_scalars.h"
#include "support/drafts.h"
#include "support/letters.h"

namespace batten {
namespace {

// Letters 30 px wide and exactly known, tolerance 1 px; each corner node has the index it has in letter_i(): top left,
// top right, bottom right, bottom left.
struct Row {
  SpacedLoops loops;
  Draft draft;

  void add(const Outline& outline) {
    loops.loops.push_back(support::exact_loop(support::points_of(outline, 0.25)));
    draft.loops.push_back(support::draft_of(loops.loops.back(), outline));
  }
  void letter(double x, double base, double top) { add(support::polygon(support::letter_i(x, 30, base, top))); }

  // The heights of a node of one letter and of one of another made equal.
  Proposal same_height(NodePlace a, NodePlace b) const {
    const ScalarIndex index(draft);
    Proposal p;
    p.ties = {{{{index.of(a.loop, Quantity::y, a.node), 1}, {index.of(b.loop, Quantity::y, b.node), -1}}}};
    p.nodes = {a, b};
    return p;
  }
  double y(const TriedProposals& tried, std::size_t loop, std::size_t node) const {
    return tried.draft.loops[loop].nodes[node].at.y;
  }
  TriedProposals tried(const std::vector<Proposal>& proposals, int threads = 1, bool edited = false) const {
    return try_proposals(loops, draft, proposals, std::vector<char>(draft.loops.size(), edited), threads, {},
                         [](double) {});
  }
};

constexpr std::size_t top_left = 0, bottom_right = 2, bottom_left = 3;

bool same_places(const DraftLoop& a, const DraftLoop& b) {
  for (std::size_t i = 0; i < a.size(); ++i)
    if (!(a.nodes[i].at == b.nodes[i].at) || a.nodes[i].angle != b.nodes[i].angle) return false;
  return a.size() == b.size();
}

TEST(TryProposals, WhatIsTiedIsEqualToTheLastBit) {
  Row row;
  row.letter(40, 230, 40), row.letter(140, 230.4, 40.7);
  const auto tried = row.tried({row.same_height({0, bottom_right}, {1, bottom_left})});
  EXPECT_EQ(tried.kept, std::vector<char>{1});
  EXPECT_EQ(row.y(tried, 0, bottom_right), row.y(tried, 1, bottom_left));
  EXPECT_EQ(row.y(tried, 0, bottom_left), row.y(tried, 0, bottom_right)) << "a level side stays level";
  EXPECT_NEAR(row.y(tried, 0, bottom_right), 230.2, 0.1) << "either gives way by half";
  EXPECT_NEAR(row.y(tried, 1, top_left), 40.7, 0.01) << "the tops were not asked for";
}

TEST(TryProposals, AnOutlineThatIsNotTiedDoesNotMove) {
  Row row;
  row.letter(40, 230, 40), row.letter(140, 230.4, 40), row.letter(240, 231, 41);
  const auto tried = row.tried({row.same_height({0, bottom_right}, {1, bottom_left})});
  EXPECT_TRUE(same_places(tried.draft.loops[2], row.draft.loops[2]));
  EXPECT_TRUE(same_places(row.tried({}).draft.loops[0], row.draft.loops[0]));
}

// Feet 6 px apart would have to give way by 3 px each, at a tolerance of 1 px; the tops, 0.4 px apart, by 0.2.
TEST(TryProposals, WhatAnOutlineCannotBearIsUndoneAlone) {
  Row row;
  row.letter(40, 230, 40), row.letter(140, 230, 40.4), row.letter(240, 236, 41);
  const std::vector<Proposal> proposals{row.same_height({0, top_left}, {1, top_left}),
                                        row.same_height({0, bottom_left}, {2, bottom_left})};
  const auto tried = row.tried(proposals);
  EXPECT_EQ(tried.kept, (std::vector<char>{1, 0}));
  EXPECT_EQ(row.y(tried, 0, top_left), row.y(tried, 1, top_left));
  EXPECT_NEAR(row.y(tried, 0, bottom_left), 230, 0.05) << "where it was drawn";
  EXPECT_NEAR(row.y(tried, 2, bottom_left), 236, 0.05);
}

TEST(TryProposals, AGroupThatCannotHoldLeavesTheOthersAlone) {
  Row row;
  row.letter(40, 230, 40), row.letter(140, 250, 60), row.letter(240, 230.2, 40), row.letter(340, 230.4, 40);
  const auto tried = row.tried(
      {row.same_height({0, bottom_left}, {1, bottom_left}), row.same_height({2, bottom_left}, {3, bottom_left})});
  EXPECT_EQ(tried.kept, (std::vector<char>{0, 1}));
  EXPECT_EQ(row.y(tried, 2, bottom_left), row.y(tried, 3, bottom_left));
  EXPECT_NEAR(row.y(tried, 1, bottom_left), 250, 0.05);
}

TEST(TryProposals, TheSameForAnyNumberOfThreads) {
  Row row;
  row.letter(40, 230, 40), row.letter(140, 230.4, 40), row.letter(240, 236, 41), row.letter(340, 236.3, 41.2);
  const std::vector<Proposal> proposals{row.same_height({0, bottom_left}, {1, bottom_left}),
                                        row.same_height({1, bottom_left}, {2, bottom_left}),
                                        row.same_height({2, bottom_left}, {3, bottom_left})};
  const auto one = row.tried(proposals), three = row.tried(proposals, 3);
  EXPECT_EQ(one.kept, three.kept);
  for (std::size_t k = 0; k < 4; ++k) EXPECT_TRUE(same_places(one.draft.loops[k], three.draft.loops[k])) << k;
  for (std::size_t p = 0; p < 3; ++p)
    EXPECT_EQ(row.y(one, p, bottom_left) == row.y(one, p + 1, bottom_left), one.kept[p] != 0) << p;
}

// A circle whose top node was set 2 degrees along: its handles lie as far off level.
TEST(TryProposals, HandlesNearAnAxisAreSnappedInOutlinesThatWereEdited) {
  Row row;
  Outline round = support::circle({200, 200}, 100, 4, support::standard_handle(4));
  for (Node& n : round.nodes) {
    if (n.at.y > 150) continue;
    const Point along = direction(radians(2));
    const double handle_px = std::copysign(distance(n.at, n.handle_after), n.handle_after.x - n.at.x);
    n.at = Point{200, 200} + 100 * direction(radians(-88));
    n.handle_after = n.at + handle_px * along, n.handle_before = n.at - handle_px * along;
  }
  row.add(round);
  const DraftLoop& before = row.draft.loops[0];
  const auto off_axis = [](const DraftLoop& d) {
    return std::count_if(d.nodes.begin(), d.nodes.end(), [](const auto& n) { return off_axis_deg(n.angle) > 1e-9; });
  };
  ASSERT_EQ(off_axis(before), 1);
  EXPECT_TRUE(same_places(row.tried({}, 1, false).draft.loops[0], before)) << "not edited: left as it is";
  const DraftLoop snapped = row.tried({}, 1, true).draft.loops[0];
  EXPECT_EQ(off_axis(snapped), 0);
  EXPECT_LT(support::off_circle_px(snapped, {200, 200}, 100), 1) << "within the tolerance";
}

TEST(TryProposals, TheShareThatIsDoneNeverFalls) {
  Row row;
  row.letter(40, 230, 40), row.letter(140, 230.4, 40);
  std::vector<double> shares;
  try_proposals(row.loops, row.draft, {row.same_height({0, bottom_left}, {1, bottom_left})}, {0, 0}, 1, {},
                [&](double share) { shares.push_back(share); });
  ASSERT_FALSE(shares.empty());
  EXPECT_TRUE(std::is_sorted(shares.begin(), shares.end()));
  EXPECT_GE(shares.front(), 0);
  EXPECT_EQ(shares.back(), 1);
}

TEST(TryProposals, NothingIsKeptOnceStopped) {
  Row row;
  row.letter(40, 230, 40), row.letter(140, 230.4, 40);
  std::stop_source stop;
  stop.request_stop();
  const auto tried = try_proposals(row.loops, row.draft, {row.same_height({0, bottom_left}, {1, bottom_left})}, {0, 0},
                                   1, stop.get_token(), [](double) {});
  EXPECT_EQ(tried.kept, std::vector<char>{0});
  EXPECT_TRUE(same_places(tried.draft.loops[0], row.draft.loops[0]));
}

}  // namespace
}  // namespace batten
