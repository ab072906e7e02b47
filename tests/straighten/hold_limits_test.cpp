#include "straighten/hold_limits.h"

#include <gtest/gtest.h>

#include "fit/segment_data.h"
#include "support/drafts.h"

namespace batten {
namespace {

DraftLoop held(const SpacedLoop& loop, const DraftLoop& d, const Plane<float>& ink = {}) {
  return hold_limits({{loop}}, {{d}}, ink, {}, {}).loops.at(0);
}

double worst_px(const SpacedLoop& loop, const DraftLoop& d) {
  double worst = 0;
  for (std::size_t i = 0; i < d.size(); ++i) worst = std::max(worst, segment_error(loop, d, i).max_px);
  return worst;
}

SpacedLoop band(const std::vector<Point>& points) {
  SpacedLoop loop = support::exact_loop(points);
  loop.kind = Kind::outlined, loop.band_px = loop.scale_px = 8, loop.sigma_px = 0.4, loop.rounding_px = 2.4;
  return loop;
}

TEST(HoldLimits, WhatHoldsComesBackAsItWas) {
  const support::RoundFoot foot;
  const DraftLoop d = held(foot.loop, foot.draft);
  ASSERT_EQ(d.size(), foot.draft.size());
  for (std::size_t i = 0; i < d.size(); ++i) {
    EXPECT_EQ(d.nodes[i].at, foot.draft.nodes[i].at);
    EXPECT_EQ(d.segments[i].start.handle_px, foot.draft.segments[i].start.handle_px);
  }
}

// A quarter of a circle drawn as a straight lies 0.29 radii off.
TEST(HoldLimits, AStraightAcrossARoundBendsAgain) {
  const SpacedLoop loop = band(support::circle_points({100, 100}, 60, 0.1));
  DraftLoop d = support::draft_of(loop, support::circle({100, 100}, 60, 4, support::standard_handle(4)));
  d.segments[1].straight = true;
  settle_angles(&d);
  ASSERT_GT(worst_px(loop, d), 15);
  const DraftLoop mended = held(loop, d);
  EXPECT_LE(worst_px(loop, mended), 2);
  EXPECT_LT(support::off_circle_px(mended, {100, 100}, 60), 2.1);
  EXPECT_LE(mended.size(), 5u);
}

// A node too few, with corners at both ends whose zones hide that the line goes down between them.
TEST(HoldLimits, AHiddenBumpGetsItsNode) {
  std::vector<Point> points{{0, 0}};
  for (double x = 0; x <= 40; x += 0.5) points.push_back({100 + x, 20 * std::pow(std::sin(pi * x / 40), 2)});
  points.insert(points.end(), {{230, 0}, {230, 100}, {0, 100}});
  const SpacedLoop loop = band(points);
  DraftLoop d = support::draft_of(loop, support::polygon({{100, 0}, {140, 0}, {230, 0}, {230, 100}, {0, 100}, {0, 0}}));
  d.nodes[0].zone_px = d.nodes[1].zone_px = 20;
  ASSERT_GT(worst_px(loop, d), 10);
  const DraftLoop mended = held(loop, d);
  EXPECT_LE(worst_px(loop, mended), 2);
  EXPECT_LE(mended.size(), d.size() + 3);
}

// The tip of a wedge, 30 px beyond the last ink.
TEST(HoldLimits, ATipComesBackToItsInk) {
  const std::vector<Point> wedge = {{60, 60}, {200, 100}, {60, 140}};
  const SpacedLoop loop = band(wedge);
  Plane<float> ink(300, 200, 0);
  for (const Point p : loop.curve.points)
    for (int y = -3; y <= 3; ++y)
      for (int x = -3; x <= 3; ++x) ink.at(int(p.x) + x, int(p.y) + y) = 1;
  DraftLoop d = support::draft_of(loop, support::polygon(wedge));
  for (DraftNode& node : d.nodes) node.zone_px = 40;
  d.nodes[1].at = {230, 100};
  settle_angles(&d);
  const DraftLoop mended = held(loop, d, ink);
  ASSERT_EQ(mended.size(), 3u);
  EXPECT_LT(mended.nodes[1].at.x, 209) << "0.6 of 8 px beyond the ink, which ends at 203";
  EXPECT_GT(mended.nodes[1].at.x, 199);
}

// The sides of a blunt end would meet far beyond it.
TEST(HoldLimits, TipsReachNoFartherThanThreeWidths) {
  const SpacedLoop loop = band({{240, 106}, {0, 130}, {0, 70}, {240, 94}});
  const DraftLoop d = support::draft_of(loop, support::polygon({{300, 100}, {0, 130}, {0, 70}}));
  const DraftLoop mended = held(loop, d);
  double farthest = 0;
  for (const DraftNode& n : mended.nodes) farthest = std::max(farthest, n.at.x);
  EXPECT_LE(farthest, 240 + 3 * std::max(2., loop.band_px) + 0.1);
  EXPECT_GE(farthest, 240 - 2);
}

// A limit finer than the line is known is held everywhere, on straights too.
TEST(HoldLimits, AFinerLimitThanTheLineIsKnownIsHeldToTheNumber) {
  std::vector<Point> points;
  for (double x = 0; x <= 400; x += 0.5) points.push_back({x, 1.5 * std::sin(x / 20)});
  points.insert(points.end(), {{400, 200}, {0, 200}});
  SpacedLoop loop = band(points);
  const DraftLoop d = support::draft_of(loop, support::polygon({{0, 0}, {400, 0}, {400, 200}, {0, 200}}));
  loop.sigma_px = 1, loop.waver_px = 2.6, loop.limit_px = 2.6;
  EXPECT_EQ(held(loop, d).size(), 4u) << "1.5 px are within what the line can tell";
  loop.limit_px = loop.tolerance_px = 0.4;
  ASSERT_TRUE(loop.held_finer());
  const DraftLoop followed = held(loop, d);
  EXPECT_GT(followed.size(), 6u);
  EXPECT_LE(worst_px(loop, followed), 0.4);
}

// Locating rounds corners, by more than such a limit: they stay corners.
TEST(HoldLimits, AFinerLimitLeavesCorners) {
  constexpr double rounding_px = 4;
  std::vector<Point> points;
  for (const Point centre : {Point{196, 4}, Point{196, 196}, Point{4, 196}, Point{4, 4}}) {
    const double from = centre.x > 100 ? (centre.y < 100 ? -pi / 2 : 0) : (centre.y > 100 ? pi / 2 : pi);
    for (int k = 0; k <= 8; ++k) {
      const double a = from + k * pi / 16;
      points.push_back(centre + rounding_px * Point{std::cos(a), std::sin(a)});
    }
  }
  SpacedLoop loop = band(points);
  loop.rounding_px = rounding_px, loop.waver_px = 2.6, loop.limit_px = loop.tolerance_px = 0.4;
  ASSERT_TRUE(loop.held_finer());
  DraftLoop d = support::draft_of(loop, support::polygon({{0, 0}, {200, 0}, {200, 200}, {0, 200}}));
  for (DraftNode& node : d.nodes) node.zone_px = 2 * rounding_px;
  const DraftLoop mended = held(loop, d);
  const auto corners =
      std::count_if(mended.nodes.begin(), mended.nodes.end(), [](const DraftNode& n) { return n.corner; });
  EXPECT_EQ(corners, 4);
  for (const Point corner : {Point{0, 0}, Point{200, 0}, Point{200, 200}, Point{0, 200}})
    EXPECT_TRUE(std::any_of(mended.nodes.begin(), mended.nodes.end(),
                            [&](const DraftNode& n) { return n.corner && distance(n.at, corner) < 0.5; }))
        << corner.x << ", " << corner.y;
}

}  // namespace
}  // namespace batten
