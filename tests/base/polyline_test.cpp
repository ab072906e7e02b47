#include "base/polyline.h"

#include <gtest/gtest.h>

#include "base/arc_loop.h"
#include "support/shapes.h"

namespace batten {
namespace {

const Polyline square{{10, 10}, {30, 10}, {30, 30}, {10, 30}};  // clockwise on screen

TEST(Polyline, AreaIsSignedByTheDirectionOfTravel) {
  EXPECT_DOUBLE_EQ(signed_area_px2(square), 400);
  EXPECT_DOUBLE_EQ(signed_area_px2({square.rbegin(), square.rend()}), -400);
  EXPECT_DOUBLE_EQ(signed_area_px2({{0, 0}, {3, 0}, {0, 4}}), 6);
}

TEST(Polyline, ContainsByEvenOdd) {
  EXPECT_TRUE(contains(square, {11, 29}));
  EXPECT_FALSE(contains(square, {9, 20}));
  EXPECT_FALSE(contains(square, {20, 31}));
  // A bow that crosses itself twice winds round its middle twice: that counts as outside.
  EXPECT_FALSE(contains({{0, 0}, {30, 0}, {30, 30}, {10, 30}, {10, 10}, {40, 10}, {40, 40}, {0, 40}}, {20, 20}));
}

TEST(Polyline, EvenSpacingClosesTheLoop) {
  const Polyline loop = evenly_spaced(square, 1.1);
  ASSERT_EQ(loop.size(), 73u);  // 80 / 1.1 rounded
  EXPECT_EQ(loop[0], square[0]);
  for (std::size_t i = 0; i < loop.size(); ++i)
    EXPECT_LE(distance(loop[i], loop[(i + 1) % loop.size()]), 80.0 / 73 + 1e-9);
  EXPECT_EQ(evenly_spaced(square, 1000).size(), 8u);
}

TEST(Polyline, BoxesHoldTheirPoints) {
  const PointBox box = box_of(square);
  EXPECT_EQ(box.low, (Point{10, 10}));
  EXPECT_EQ(box.high, (Point{30, 30}));
  EXPECT_TRUE(box.holds({30, 10}));
  EXPECT_FALSE(box.holds({30.1, 10}));
  EXPECT_FALSE(PointBox{}.holds({0, 0}));
}

TEST(Polyline, NormalsPointOutOfALoopThatRunsClockwise) {
  const Polyline circle = support::circle_points({5, 5}, 40, 1);
  const Polyline out = normals(circle);
  const double sign = signed_area_px2(circle) > 0 ? 1 : -1;
  for (std::size_t i = 0; i < circle.size(); ++i)
    EXPECT_LT(distance(sign * out[i], (1 / 40.0) * (circle[i] - Point{5, 5})), 1e-3);
}

// A Gaussian of sigma along a circle of radius R takes it to R exp(-sigma^2 / 2 R^2), the first Fourier coefficient of
// the circle times that of the Gaussian: 9.55997 for R 10 and sigma 3.
TEST(SmoothRing, ShrinksACircleAsComputed) {
  const ArcLoop circle = resample(support::circle_points({0, 0}, 10, 0.01), 0.15);
  for (const Point p : smooth_ring(circle.points, 3 / circle.step_px))
    EXPECT_NEAR(norm(p), 9.55997, 0.004);  // the kernel ends at 3.5 sigma
}

TEST(SmoothRing, KeepsTheMeanAndRunsRoundTheEnd) {
  std::vector<double> ring(40, 0.0);
  ring[0] = 1;
  const std::vector<double> out = smooth_ring(ring, 2);
  double sum = 0;
  for (const double v : out) sum += v;
  EXPECT_NEAR(sum, 1, 1e-12);
  for (std::size_t k = 1; k < 8; ++k) EXPECT_DOUBLE_EQ(out[k], out[40 - k]) << k;
  EXPECT_GT(out[1], out[2]);
}

TEST(SmoothRing, ARowShorterThanTheKernelStaysWithinItsValues) {
  for (const double v : smooth_ring(std::vector<double>{1, 2, 4}, 5)) {
    EXPECT_GT(v, 1);
    EXPECT_LT(v, 4);
  }
}

}  // namespace
}  // namespace batten
