#include "refine/minimax_round.h"

#include <gtest/gtest.h>

#include "refine/edit_draft.h"
#include "refine/solve_joint.h"
#include "support/drafts.h"

namespace batten {
namespace {

struct Circle {
  SpacedLoop loop;
  DraftLoop draft;
};

Circle circle(double radius, int nodes) {
  Circle c{support::exact_loop(support::circle_points({0, 0}, radius, 0.1)), {}};
  c.draft = support::draft_of(c.loop, support::circle({0, 0}, radius, nodes, support::standard_handle(nodes)));
  for (DraftNode& j : c.draft.nodes) j.reason = Reason::added;
  return c;
}

// One round of the nodes that are marked; none marked: of all.
bool round_of(const SpacedLoop& loop, const DraftLoop& d, std::vector<char> freed, int iterations, std::stop_token stop,
              DraftLoop* out) {
  if (freed.empty()) freed.assign(d.size(), 1);
  DraftLoop from = d;
  const std::vector<JointLoop> alone{{&loop, &from, std::move(freed)}};
  JointScalars scalars(alone, {}, Bound::hold_others);
  return scalars.gather() && minimax_round(alone[0], iterations, stop, &scalars) && scalars.read_back(0, out);
}

double largest_px(const SpacedLoop& loop, const DraftLoop& d) { return local_error(loop, d, Window::all(d)).max_px; }

// Free nodes: 2 / (2 + e) of the standard curve with its error e (Dokken, Daehlen, Lyche, Morken, CAGD 7, 1990;
// Goldapp, CAGD 8, 1991): 0.0090917 R with two nodes, and a little over 1 / 2600 R with three.
TEST(MinimaxRound, ACircleComesToThePublishedOptimum) {
  for (const auto& [nodes, share] : {std::pair{2, 0.0090917}, {3, 1 / 1298.0}}) {
    Circle c = circle(100, nodes);
    ASSERT_TRUE(solve_joint(c.loop, &c.draft, {}, {.rounds = 12, .iterations = 4, .minimax = true}, {}));
    EXPECT_NEAR(support::off_circle_px(c.draft, {0, 0}, 100) / (100 * share), 1, 0.015) << nodes;
  }
}

TEST(MinimaxRound, NeverLeavesALargerOffset) {
  Circle c = circle(100, 3);
  for (int k = 0; k < 6; ++k) {
    DraftLoop d = c.draft;
    d.nodes[1].at = d.nodes[1].at + Point{0.8 * k, -0.3 * k};
    d.segments[2].start.handle_px *= 1 + 0.05 * k;
    const double before = largest_px(c.loop, d);
    DraftLoop after = d;
    ASSERT_TRUE(round_of(c.loop, d, {}, 10, {}, &after));
    EXPECT_LE(largest_px(c.loop, after), 1.01 * before) << k;
  }
}

TEST(MinimaxRound, OnlyFreedNodesMoveAndStraightsStayStraight) {
  auto [loop, d] = support::RoundFoot();
  d.nodes[2].at = d.nodes[2].at + Point{2, 1};
  std::vector<char> freed(d.size(), 0);
  freed[2] = 1;
  DraftLoop after = d;
  ASSERT_TRUE(round_of(loop, d, freed, 10, {}, &after));
  EXPECT_LT(largest_px(loop, after), 0.5 * largest_px(loop, d));
  for (std::size_t i = 0; i < d.size(); ++i) {
    if (i != 2) {
      EXPECT_EQ(after.nodes[i].at, d.nodes[i].at) << i;
    }
    EXPECT_EQ(after.segments[i].straight, d.segments[i].straight);
  }
}

// The points of a short segment beside a corner do not count: what decides there are the squares.
TEST(MinimaxRound, WhatTheLargestOffsetLeavesOpenStaysWhereItBelongs) {
  auto [loop, d] = support::RoundFoot();
  for (DraftNode& j : d.nodes)
    if (j.corner) j.zone_px = 60;
  d.nodes[1].at = d.nodes[1].at + Point{0, 3};
  DraftLoop after = d;
  for (int k = 0; k < 4; ++k) {
    const DraftLoop before = after;
    ASSERT_TRUE(round_of(loop, before, {}, 10, {}, &after));
  }
  for (DraftNode& j : after.nodes) j.zone_px = 0;
  EXPECT_LT(largest_px(loop, after), 2.5) << "five limits, and it was six before";
}

TEST(MinimaxRound, AStopEndsItAndNoNumberRefusesIt) {
  Circle c = circle(100, 3);
  std::stop_source stop;
  stop.request_stop();
  DraftLoop after = c.draft;
  EXPECT_TRUE(round_of(c.loop, c.draft, {}, 10, stop.get_token(), &after));
  EXPECT_EQ(after.nodes[0].at, c.draft.nodes[0].at);
  c.draft.nodes[0].at.x = std::nan("");
  EXPECT_FALSE(round_of(c.loop, c.draft, {}, 10, {}, &after));
}

}  // namespace
}  // namespace batten
