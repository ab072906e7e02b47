#include "measure/reference_loop.h"

#include <gtest/gtest.h>

#include "corners/find_corners.h"
#include "support/drafts.h"

namespace batten {
namespace {

const std::vector<Point> square = {{60, 60}, {260, 60}, {260, 260}, {60, 260}};

// A band round a square, its corners rounded as locating rounds them.
SpacedLoop rounded_band(const std::vector<Point>& corners, double w) {
  SpacedLoop loop = support::exact_loop(corners);
  loop.kind = Kind::outlined;
  loop.band_px = loop.scale_px = w, loop.rounding_px = 0.3 * w, loop.sigma_px = 0.08 * w;
  loop.curve = smooth(loop.curve, 0.3 * w);
  return loop;
}

double off_px(const Reference& r, Point p) {
  double best = 1e300;
  for (std::size_t i = 0; i < r.points.size(); ++i) {
    const Point a = r.points[i], d = r.points[(i + 1) % r.points.size()] - a;
    const double t = norm2(d) > 0 ? std::clamp(dot(p - a, d) / norm2(d), 0.0, 1.0) : 0;
    best = std::min(best, distance(p, a + t * d));
  }
  return best;
}

TEST(ReferenceLoop, ArmsRunOnToTheCorners) {
  const double w = 10;
  const SpacedLoop loop = rounded_band(square, w);
  const Reference r = reference_loop(loop, support::polygon(square));
  for (Point corner : square) {
    EXPECT_GT(off_px({loop.curve.points, 0}, corner), 1) << "the loop itself is rounded there";
    EXPECT_LT(off_px(r, corner), 0.1);
  }
  // Four zones of a right angle, each on both sides.
  EXPECT_NEAR(r.replaced_px, 4 * 2 * corner_zone_px(loop, 90), 4 * 2 * loop.curve.step_px);
}

TEST(ReferenceLoop, ANodeOffItsArmsShows) {
  const double w = 10;
  const SpacedLoop loop = rounded_band(square, w);
  std::vector<Point> moved = square;
  moved[1] = moved[1] + Point{0, -3};
  EXPECT_NEAR(off_px(reference_loop(loop, support::polygon(moved)), moved[1]), 3, 0.2);
}

TEST(ReferenceLoop, ANodeThatTheBandsHideIsLeftOutWhereThatIsAskedFor) {
  SpacedLoop loop = rounded_band(square, 10);
  loop.known_sigma_px = 0.07 * 10;  // so that half a width is hidden, over the sine of half the angle: 6.9 px
  for (const bool back : {false, true}) {
    std::vector<Point> moved = square;
    moved[1] = moved[1] + Point{0, -3};
    if (back) std::reverse(moved.begin(), moved.end());
    const Point node = moved[back ? 2 : 1];
    const Reference r = reference_loop(loop, support::polygon(moved), true);
    EXPECT_LT(off_px(r, node), 0.1);
    EXPECT_EQ(r.hidden.size(), 4u);
    EXPECT_NEAR(r.replaced_px, reference_loop(loop, support::polygon(moved)).replaced_px, 1e-9);
    moved[back ? 2 : 1] = node + Point{0, -6};
    EXPECT_GT(off_px(reference_loop(loop, support::polygon(moved), true), node + Point{0, -6}), 6) << "9 px off";
  }
}

TEST(ReferenceLoop, ANodeFartherThanRoundingExplainsIsNotExcused) {
  const SpacedLoop loop = rounded_band(square, 10);
  std::vector<Point> moved = square;
  const double beyond = farthest_apex_px(loop, 90) + 15;
  moved[1] = moved[1] + beyond / std::sqrt(2.0) * Point{1, -1};
  const Reference r = reference_loop(loop, support::polygon(moved));
  EXPECT_GT(off_px(r, moved[1]), beyond);
  EXPECT_LT(r.replaced_px, reference_loop(loop, support::polygon(square)).replaced_px);
}

// Corners on the rounds of the line itself: of an outline the arms tell what lacks, in a network it follows the line.
TEST(ReferenceLoop, ALineOfANetworkMayFollowItsRounds) {
  SpacedLoop loop = rounded_band(square, 10);
  std::vector<Point> inside = square;
  for (Point& p : inside) p = loop.curve.at(nearest_arc(loop.curve, p, 0, loop.curve.length_px()));
  EXPECT_GT(reference_loop(loop, support::polygon(inside)).replaced_px, 0);
  loop.kind = Kind::line;
  EXPECT_EQ(reference_loop(loop, support::polygon(inside)).replaced_px, 0);
  EXPECT_GT(reference_loop(loop, support::polygon(square)).replaced_px, 0) << "a sharp corner follows its arms";
}

TEST(ReferenceLoop, ACornerAtTheEndOfALineLeavesItThere) {
  SpacedLoop loop;
  loop.curve = resample_line(std::vector<Point>{{0, 0}, {100, 0}}, 1, 40);
  loop.kind = Kind::line, loop.band_px = loop.scale_px = 5, loop.rounding_px = 1.5, loop.sigma_px = 0.4;
  Outline o = support::polygon({{0, 0}, {99.6, 0}, {99.8, 1}, {100, 0}});
  o.closed = false;
  for (const Point p : reference_loop(loop, o).points) EXPECT_TRUE(p.x > -0.1 && p.x < 100.1) << p.x;
}

TEST(ReferenceLoop, SmoothNodesReplaceNothing) {
  const SpacedLoop loop = support::exact_loop(support::circle_points({100, 100}, 60, 0.1));
  const Reference r = reference_loop(loop, support::circle({100, 100}, 60, 4, support::standard_handle(4)));
  EXPECT_EQ(r.replaced_px, 0);
  EXPECT_EQ(r.points, loop.curve.points);
}

TEST(ReferenceLoop, CornersCloseTogetherShareTheirArms) {
  // A corner cut off over 6 px: no loop is left between the two zones to read a third arm from.
  const std::vector<Point> cut = {{64, 60}, {260, 60}, {260, 260}, {60, 260}, {60, 64}};
  const SpacedLoop loop = rounded_band(cut, 10);
  const Reference r = reference_loop(loop, support::polygon(cut));
  EXPECT_LT(off_px(r, cut[0]), 0.3);
  EXPECT_LT(off_px(r, cut[4]), 0.3);
  const double separate = 3 * 2 * corner_zone_px(loop, 90) + 2 * 2 * corner_zone_px(loop, 45);
  EXPECT_LT(r.replaced_px, separate) << "their zones overlap";
}

}  // namespace
}  // namespace batten
