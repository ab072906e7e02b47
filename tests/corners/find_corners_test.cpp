// Corners of exact loops. Bands are judged with their ink in weigh_corners_test.cpp.
#include "corners/find_corners.h"

#include <gtest/gtest.h>

#include "batten/convert.h"
#include "support/drafts.h"
#include "support/field.h"

namespace batten {
namespace {

std::vector<Corner> accepted(const SpacedLoop& loop) {
  const Job job;
  Progress progress(job, Stage::corners, 0, 1);
  const auto found = find_corners({{loop}}, {}, 0, progress);
  EXPECT_TRUE(found.ok());
  std::vector<Corner> out;
  for (const Corner& c : found->of_loop.at(0))
    if (c.accepted) out.push_back(c);
  return out;
}

support::Polyline turned(support::Polyline points, double rad) {
  for (Point& p : points) {
    const Point d = p - Point{100, 100};
    p = Point{100, 100} + d.x * direction(rad) + d.y * left_of(direction(rad));
  }
  return points;
}

TEST(FindCorners, LieWhereTheSidesMeetWithTheTurnOfGeometry) {
  // A star of five points: inner angles 36 and 252 degrees by turns.
  support::Polyline star;
  const double inner = 90 * std::sin(radians(18)) / std::sin(radians(126));  // where its long sides cross
  for (int k = 0; k < 10; ++k) star.push_back(Point{100, 100} + (k % 2 ? inner : 90) * direction(radians(36 * k - 90)));
  for (const double angle : {0.0, 0.3, 1.0}) {
    const support::Polyline corners = turned(star, angle);
    const std::vector<Corner> found = accepted(support::exact_loop(corners));
    ASSERT_EQ(found.size(), 10u) << angle;
    for (const Corner& c : found) {
      const auto truth = std::min_element(corners.begin(), corners.end(),
                                          [&](Point a, Point b) { return distance(a, c.apex) < distance(b, c.apex); });
      EXPECT_LT(distance(*truth, c.apex), 0.1);
      EXPECT_NEAR(c.turn_deg, (truth - corners.begin()) % 2 ? 72 : 144, 1.5);
    }
  }
}

TEST(FindCorners, RoundsHaveNone) {
  for (const double radius : {6.0, 15.0, 80.0})
    EXPECT_TRUE(accepted(support::exact_loop(support::circle_points({100, 100}, radius, 0.1))).empty()) << radius;
  EXPECT_TRUE(accepted(support::exact_loop(support::ellipse_points({100, 100}, 90, 35, 0.5, 0.1))).empty());
}

TEST(FindCorners, ASmoothJoinIsNone) {
  // A stadium: straights run into half circles without a turn.
  support::Polyline p;
  for (int k = 0; k <= 100; ++k) p.push_back(Point{150, 60} + 40 * direction(-pi / 2 + pi * k / 100));
  for (int k = 0; k <= 100; ++k) p.push_back(Point{50, 60} + 40 * direction(pi / 2 + pi * k / 100));
  EXPECT_TRUE(accepted(support::exact_loop(p)).empty());
}

TEST(FindCorners, CurvedSidesMeetAtTheirCorner) {
  // A lens of two arcs of radius 100 round (0, -+60): tips at (+-80, 0). The arcs stand at right angles to the radii
  // (80, 60) and (80, -60): the turn is 2 atan(60 / 80).
  support::Polyline lens;
  const double open = std::atan2(60.0, 80.0);
  for (double a = pi - open; a > open; a -= 0.002) lens.push_back({100 * std::cos(a), 100 * std::sin(a) - 60});
  for (double a = -open; a > -pi + open; a -= 0.002) lens.push_back({100 * std::cos(a), 100 * std::sin(a) + 60});
  const std::vector<Corner> found = accepted(support::exact_loop(lens));
  ASSERT_EQ(found.size(), 2u);
  for (const Corner& c : found) {
    EXPECT_LT(std::min(distance(c.apex, {80, 0}), distance(c.apex, {-80, 0})), 0.2);
    EXPECT_NEAR(c.turn_deg, 2 * degrees(std::atan2(60, 80)), 1.5);
  }
}

// A wedge of paper cut into a dark block, 14.7 degrees at its tip, one wall straight and one that soon bends away:
// where it is less than a pixel wide, for its last 4 px, no pixel is half paper, and the edge turns round before the
// walls meet.
TEST(FindCorners, ACrotchThinnerThanAPixelLiesWhereItsWallsMeet) {
  const double half = radians(7.35);
  for (const Point tip : {Point{150.4, 160.25}, Point{151.0, 160.5}, Point{149.7, 161.1}}) {
    const Point up = tip + 180 * direction(-half);
    const Point bend = tip + 7 * direction(half), low = bend + 60 * direction(4 * half);
    Outline block;
    const auto corner = [&](Point at, Point in, Point out) {
      block.nodes.push_back({in, at, out, false, Reason::corner});
    };
    const auto plain = [&](Point at) { corner(at, at, at); };
    plain({40, 40}), plain({360, 40}), plain({360, up.y}), plain(up);
    plain(tip);
    block.nodes.push_back({bend, bend, bend + 20 * direction(half), true, Reason::straight_end});
    corner(low, low - 20 * direction(6 * half), low);
    plain({360, low.y + 60}), plain({360, 300}), plain({40, 300});
    const support::Field ink = support::coverage(400, 340, {block});
    std::vector<std::uint8_t> pixels;
    for (const float k : ink.values) pixels.push_back(std::uint8_t(std::lround(255 * (1 - k))));
    Options options;
    options.tolerance_px = 0.5;
    const auto traced = convert({pixels.data(), 400, 340, 400, PixelFormat::gray8}, options);
    ASSERT_TRUE(traced.ok());
    ASSERT_EQ(traced->drawing.outlines.size(), 1u);
    double nearest = 1e300;
    for (const Node& n : traced->drawing.outlines[0].nodes)
      if (!n.smooth) nearest = std::min(nearest, distance(n.at, tip));
    EXPECT_LT(nearest, 1) << tip.x;
  }
}

// The end of a serif: two turns the same way, one sharp and one weaker, hardly two bands apart. A band's loop rounds
// both, and an average over two bands shows one turn.
TEST(FindCorners, AWeakerTurnBesideASharpOneIsProposedToo) {
  const double w = 10;
  int lost = 0;
  for (const double side : {2.2, 2.5, 2.8})
    for (const double second_deg : {50, 60, 75}) {
      const Point a{300, 100}, b{300, 100 + side * w};
      SpacedLoop band =
          support::exact_loop({{60, 100}, a, b, b + 240 * direction(pi / 2 + radians(second_deg)), {60, 400}});
      band.kind = Kind::outlined;
      band.band_px = band.scale_px = w, band.rounding_px = 0.3 * w;
      band.curve = smooth(band.curve, 0.3 * w);
      const Job job;
      Progress progress(job, Stage::corners, 0, 1);
      const auto found = find_corners({{band}}, {}, 0, progress);
      ASSERT_TRUE(found.ok());
      for (const Point p : {a, b})
        lost += std::none_of(found->of_loop[0].begin(), found->of_loop[0].end(),
                             [&](const Corner& c) { return distance(c.apex, p) < 0.5 * w; });
    }
  EXPECT_EQ(lost, 0);
}

TEST(FindCorners, TheZoneGrowsWithTheSharpnessOfTheTip) {
  SpacedLoop band = support::exact_loop(support::circle_points({0, 0}, 50, 1));
  band.kind = Kind::outlined, band.band_px = 10, band.rounding_px = 3;
  // Two bands of width W at an inner angle phi run into one another over W / (2 tan(phi / 2)).
  EXPECT_NEAR(corner_zone_px(band, 90), 10 / (2 * std::tan(pi / 4)) + 5, 1e-9);
  EXPECT_NEAR(corner_zone_px(band, 150), 10 / (2 * std::tan(radians(15))) + 5, 1e-9);
  EXPECT_LT(farthest_apex_px(band, 60), farthest_apex_px(band, 150));
}

TEST(FindCorners, TheSameForAnyNumberOfThreads) {
  SpacedLoops loops;
  for (int k = 0; k < 5; ++k) loops.loops.push_back(support::exact_loop(turned({{20, 20}, {180, 30}, {90, 170}}, k)));
  const Job job;
  Progress progress(job, Stage::corners, 0, 1);
  const auto one = find_corners(loops, {}, 0, progress, 1), three = find_corners(loops, {}, 0, progress, 3);
  ASSERT_TRUE(one.ok() && three.ok());
  for (std::size_t i = 0; i < 5; ++i) {
    ASSERT_EQ(one->of_loop[i].size(), three->of_loop[i].size());
    for (std::size_t k = 0; k < one->of_loop[i].size(); ++k)
      EXPECT_EQ(one->of_loop[i][k].apex, three->of_loop[i][k].apex);
  }
}

}  // namespace
}  // namespace batten
