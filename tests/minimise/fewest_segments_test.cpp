// The fewest cubics on a stretch without fixed nodes, against counts that are known.
#include "minimise/fewest_segments.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/cubic.h"
#include "fit/smooth_node.h"
#include "support/shapes.h"

namespace batten {
namespace {

SpacedLoop exact_loop(const std::vector<Point>& points, double limit_px) {
  SpacedLoop loop;
  loop.curve = resample(points, 0.5);
  loop.rounding_px = 0.2, loop.correlation_px = 2;
  loop.limit_px = loop.tolerance_px = limit_px;
  return loop;
}

// With the nodes ON the circle two cubics hold a radius of up to 75.8 tolerances, three up to 899: the errors are
// 1.3195e-2 and 1.1126e-3 of the radius with the best handles (own calculation by equioscillation, which for four gives
// the 0.551915024494 of Mortensen, "Approximate a circle with cubic Bezier curves", 2012).
TEST(FewestSegments, RingWithNodesOnTheCircle) {
  const auto count = [](double radius) {
    const SpacedLoop loop = exact_loop(support::circle_points({radius + 5, radius + 5}, radius, 0.5), 1);
    return fewest_on_ring(loop, 1)->size();
  };
  EXPECT_EQ(count(60), 2u);
  EXPECT_EQ(count(130), 3u);
}

// Every n smooth cubics can be drawn again with n: the stretch is cut from them.
TEST(FewestSegments, NoMoreThanItWasMadeOf) {
  const std::vector<Cubic> made{{Point{20, 200}, {60, 100}, {140, 60}, {200, 80}},
                                {Point{200, 80}, {260, 100}, {240, 220}, {320, 230}},
                                {Point{320, 230}, {400, 240}, {420, 120}, {520, 100}}};
  std::vector<Point> points;
  for (const Cubic& c : made)
    for (int i = 0; i < 400; ++i) points.push_back(evaluate(c, i / 400.0));
  const std::size_t last = points.size();
  points.push_back(made.back()[3]);
  for (const Point p : {Point{520, 400}, Point{20, 400}}) points.push_back(p);
  const SpacedLoop loop = exact_loop(points, 0.4);
  double way = 0;
  for (std::size_t i = 1; i <= last; ++i) way += distance(points[i - 1], points[i]);
  const StretchEnd from{points[0], 0, angle_of(start_tangent(made[0])), 0, true};
  const StretchEnd to{points[last], way, angle_of(end_tangent(made[2])), 0, true};
  const auto nodes = fewest_segments(loop, from, to, way, 0.4);
  ASSERT_TRUE(nodes);
  EXPECT_LE(nodes->size() + 1, made.size());
  double before = 0;
  for (const DraftNode& j : *nodes) {
    EXPECT_GT(j.arc, before);
    before = j.arc;
  }
  EXPECT_LT(before, way);
}

// A hairpin is not held by a spur: a curve out along one side, all of whose points but few are near.
TEST(FewestSegments, ASegmentStaysOnItsStretchBothWays) {
  std::vector<Point> points;
  for (int i = 0; i <= 200; ++i) points.push_back({20 + i * 1.0, 50});
  for (int i = 1; i < 80; ++i)
    points.push_back({220 + 25 * std::sin(i * 3.14159265 / 80), 75 - 25 * std::cos(i * 3.14159265 / 80)});
  for (int i = 0; i <= 200; ++i) points.push_back({220 - i * 1.0, 100});
  const SpacedLoop loop = exact_loop(points, 1);
  for (double to = 60; to < 470; to += 30) {
    const DraftNode a = smooth_node(loop, 5, Reason::added), b = smooth_node(loop, to, Reason::added);
    const StretchFit fit = fit_stretch(loop, stretch_end(a, a.angle), stretch_end(b, b.angle), 1);
    if (fit.max_px > 1) continue;
    for (int k = 0; k <= 64; ++k) {
      double nearest = 1e9;
      for (const Point& p : loop.curve.points) nearest = std::min(nearest, distance(p, evaluate(fit.curve, k / 64.0)));
      EXPECT_LT(nearest, 1.2) << to;
    }
  }
}

// The middle of the parameter of a long handle against a short one lies near an end of the arc.
TEST(FewestSegments, FeetByShareOfTheArc) {
  const Cubic c{Point{0, 0}, {129, 10}, {137, 12}, {145, 20}};
  const FootFinder finder(c);
  EXPECT_GT(finder.parameter_at(0.9), 0.3);
  double arc = 0;
  const double whole = length(c);
  Point last = c[0];
  for (int k = 1; k < 500; ++k) {
    const Point p = evaluate(c, k / 500.0);
    arc += distance(last, p), last = p;
    EXPECT_NEAR(finder.parameter_at(arc / whole), k / 500.0, 0.01);
    EXPECT_LT(std::abs(finder.foot_near(p, arc / whole, 0.05).offset_px), 1e-6);
  }
}

}  // namespace
}  // namespace batten
