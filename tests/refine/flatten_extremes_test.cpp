#include "refine/flatten_extremes.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

struct Flat {
  SpacedLoop loop;
  DraftLoop draft;
  std::stop_token stop;

  bool flatten(std::size_t node) { return try_flatten({loop, true, stop}, &draft, node); }
  std::size_t extreme(Reason reason, std::size_t from = 0) const {
    for (std::size_t i = from; i < draft.size(); ++i)
      if (draft.nodes[i].reason == reason) return i;
    return draft.size();
  }
  double error_px() const { return local_error(loop, draft, Window::all(draft)).max_px; }
  double deepest_px() const {
    double most = 0;
    for (std::size_t i = 0; i < draft.size(); ++i) most = std::max(most, poke(cubic_of(draft, i)).depth_px);
    return most;
  }
};

Flat drawn(const Outline& o, double limit_px) {
  Flat f{support::exact_loop(support::points_of(o, 0.1), limit_px), {}, {}};
  f.draft = support::draft_of(f.loop, o);
  return f;
}

Cubic line(Point p, Point q) { return {p, p, q, q}; }

/// A box whose top leaves its left corner upwards, turns back `depth` px higher and falls to the right.
Outline top_beside_corner(double depth) {
  const Point top{130, 100 - depth}, end{300, 160};
  Outline o = support::outline_from({{Point{100, 100}, {109, 100 - 0.7 * depth}, {119, top.y}, top},
                                     {top, {180, top.y}, {250, 120}, end},
                                     line(end, {300, 300}),
                                     line({300, 300}, {100, 300}),
                                     line({100, 300}, {100, 100})});
  o.nodes[1].reason = Reason::extreme_top;
  return o;
}

/// A side that falls to the right but for a stretch in its middle, where it rises by `depth`.
Outline wave(double depth) {
  const Point low{190, 150 + depth}, high{230, 150}, end{320, 200};
  Outline o = support::outline_from({{Point{100, 100}, {120, 125}, {160, low.y}, low},
                                     {low, {204, low.y}, {216, high.y}, high},
                                     {high, {260, high.y}, {300, 175}, end},
                                     line(end, {320, 300}),
                                     line({320, 300}, {100, 300}),
                                     line({100, 300}, {100, 100})});
  o.nodes[1].reason = Reason::extreme_bottom, o.nodes[2].reason = Reason::extreme_top;
  return o;
}

TEST(FlattenExtremes, OneBesideACornerGoesWhereTheLimitAllows) {
  Flat f = drawn(top_beside_corner(0.7), 1);
  ASSERT_TRUE(f.flatten(1));
  EXPECT_EQ(f.draft.size(), 4u);
  EXPECT_LE(f.deepest_px(), visible_poke_px) << "flattened, not left bulging";
  EXPECT_LE(f.error_px(), 1);
}

TEST(FlattenExtremes, AWaveGoesWithBothItsNodes) {
  Flat f = drawn(wave(1.2), 2);
  ASSERT_TRUE(f.flatten(1));
  EXPECT_EQ(f.draft.size(), 4u);
  EXPECT_LE(f.deepest_px(), visible_poke_px);
  EXPECT_LE(f.error_px(), 2);
}

/// The same between two quarter turns, from vertical to vertical: too much for one cubic.
Outline wave_between_rounds(double depth) {
  const Point low{190, 150 + depth}, high{230, 150}, end{400, 300};
  Outline o = support::outline_from({{Point{20, 20}, {20, 100}, {100, low.y}, low},
                                     {low, {204, low.y}, {216, high.y}, high},
                                     {high, {320, high.y}, {400, 200}, end},
                                     line(end, {20, 300}),
                                     line({20, 300}, {20, 20})});
  o.nodes[1].reason = Reason::extreme_bottom, o.nodes[2].reason = Reason::extreme_top;
  return o;
}

TEST(FlattenExtremes, TwoThatOneCurveCannotPassBecomeOneNodeBetweenThem) {
  Flat f = drawn(wave_between_rounds(1.2), 1.5);  // a single cubic is 2.9 px off
  ASSERT_TRUE(f.flatten(1) || f.flatten(2));
  EXPECT_EQ(f.draft.size(), 4u);
  EXPECT_EQ(f.extreme(Reason::extreme_top), f.draft.size());
  EXPECT_EQ(f.extreme(Reason::extreme_bottom), f.draft.size());
  EXPECT_LE(f.deepest_px(), visible_poke_px);
  EXPECT_LE(f.error_px(), 1.5);
}

TEST(FlattenExtremes, ADeepOneStays) {
  for (const double depth : {3.0, 8.0}) {
    Flat corner = drawn(top_beside_corner(depth), 1), slope = drawn(wave(depth), 1);
    const DraftLoop before = slope.draft;
    EXPECT_FALSE(corner.flatten(1)) << depth;
    EXPECT_FALSE(slope.flatten(1) || slope.flatten(2)) << depth;
    for (std::size_t i = 0; i < before.size(); ++i) EXPECT_EQ(cubic_of(slope.draft, i), cubic_of(before, i));
  }
}

TEST(FlattenExtremes, ASmallRoundKeepsItsNodesHoweverWideTheLimit) {
  Flat f = drawn(support::circle({100, 100}, 5, 4, support::standard_handle(4)), 4);  // all are within 2.5 limits
  for (DraftNode& j : f.draft.nodes) {
    const Point way = j.at - Point{100, 100};
    j.reason = std::abs(way.x) > std::abs(way.y) ? (way.x > 0 ? Reason::extreme_right : Reason::extreme_left)
                                                 : (way.y > 0 ? Reason::extreme_bottom : Reason::extreme_top);
  }
  for (std::size_t i = 0; i < 4; ++i) EXPECT_FALSE(f.flatten(i));
}

// The wave is 0.4 px of mean square off a slope over 40 px; four points in a row that err by 0.05 px don't explain
// that.
TEST(FlattenExtremes, OneThatFollowsTheDrawingStaysThoughTheLimitWouldDoWithoutIt) {
  Flat f = drawn(wave(1.2), 2);
  f.loop.sigma_px = 0.11;
  EXPECT_FALSE(f.flatten(1));
}

TEST(FlattenExtremes, WhatKeepsToOneLineIsLeftForAStraight) {
  Flat f = drawn(top_beside_corner(0.02), 3);
  f.loop.sigma_px = 1, f.loop.correlation_px = 20;
  EXPECT_FALSE(f.flatten(1));
}

}  // namespace
}  // namespace batten
