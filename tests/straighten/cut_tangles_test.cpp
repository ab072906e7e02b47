#include "straighten/cut_tangles.h"

#include <gtest/gtest.h>

#include "fit/segment_data.h"
#include "refine/untangle.h"
#include "support/drafts.h"

namespace batten {
namespace {

SpacedLoop band(const std::vector<Point>& points) {
  SpacedLoop loop = support::exact_loop(points);
  loop.kind = Kind::outlined, loop.band_px = loop.scale_px = 8, loop.sigma_px = 0.4, loop.rounding_px = 2.4;
  return loop;
}

const std::vector<Point> square{{0, 0}, {200, 0}, {200, 200}, {0, 200}};

// The two sides of a corner run past one another by 5 px and turn back: a loop of some 15 px.
std::vector<Point> with_loop_at(std::size_t corner) {
  std::vector<Point> out = square;
  const Point at = out[corner], in = unit(at - out[(corner + 3) % 4]), on = unit(out[(corner + 1) % 4] - at);
  out[corner] = at + 5 * in;
  out.insert(out.begin() + std::ptrdiff_t(corner) + 1, at - 5 * on);
  return out;
}

TEST(CutTangles, ALoopAtACornerIsCutOffAtTheCrossing) {
  const SpacedLoop loop = band(square);
  for (std::size_t corner = 0; corner < 4; ++corner) {  // over the end of the list of nodes too
    DraftLoop d = support::draft_of(loop, support::polygon(with_loop_at(corner)));
    ASSERT_EQ(crossings_of(d).size(), 1u);
    ASSERT_TRUE(cut_tangles(loop, 2, {}, &d));
    EXPECT_TRUE(crossings_of(d).empty());
    ASSERT_EQ(d.size(), 4u);
    double nearest = 1e9;
    for (const DraftNode& n : d.nodes)
      if (n.corner) nearest = std::min(nearest, distance(n.at, square[corner]));
    EXPECT_LT(nearest, 0.3) << corner;
  }
}

// The side from corner 0 to corner 1 as a cubic whose handles cross: it loops once, some 10 px round.
TEST(CutTangles, ACubicThatLoopsOnceIsCutIntoTwo) {
  const std::vector<Point> narrow{{0, 0}, {6, 0}, {6, 200}, {0, 200}};
  const SpacedLoop loop = band(narrow);
  DraftLoop d = support::draft_of(loop, support::polygon(narrow));
  make_cubic(&d, 0);
  d.segments[0].start = {14, angle_of({1, 0.5}), false};
  d.segments[0].end = {14, angle_of({1, -0.5}), false};
  ASSERT_EQ(crossings_of(d).size(), 1u);
  EXPECT_EQ(crossings_of(d)[0].first, crossings_of(d)[0].second);
  ASSERT_TRUE(cut_tangles(loop, 6, {}, &d));
  EXPECT_TRUE(crossings_of(d).empty());
  EXPECT_EQ(d.size(), 5u);
}

TEST(CutTangles, ALoopThatWasDrawnStays) {
  // A line that crosses itself as a written l does; its loop is 90 px round, its band 8 px wide.
  std::vector<Point> points{{0, 100}, {80, 20}, {60, 0}, {40, 20}, {120, 100}};
  SpacedLoop loop = support::exact_loop(points);
  loop.band_px = loop.scale_px = 8, loop.sigma_px = 0.4, loop.rounding_px = 2.4;
  DraftLoop d = support::draft_of(loop, support::polygon(points));
  const std::size_t before = crossings_of(d).size();
  ASSERT_GT(before, 0u);
  EXPECT_FALSE(cut_tangles(loop, 2, {}, &d));
  EXPECT_EQ(crossings_of(d).size(), before);
}

TEST(CutTangles, WhatDoesNotCrossComesBackAsItWas) {
  const SpacedLoop loop = band(square);
  DraftLoop d = support::draft_of(loop, support::polygon(square));
  EXPECT_FALSE(cut_tangles(loop, 2, {}, &d));
  EXPECT_EQ(d.size(), 4u);
}

}  // namespace
}  // namespace batten
