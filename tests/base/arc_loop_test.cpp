#include "base/arc_loop.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

const std::vector<Point> rectangle = {{0, 0}, {30, 0}, {30, 10}, {0, 10}};

TEST(ArcLoop, ResamplingKeepsLengthAndSpacesEvenly) {
  const ArcLoop loop = resample(rectangle, 0.7);
  EXPECT_EQ(loop.size(), 114u);  // 80 / 0.7 rounded
  EXPECT_NEAR(loop.length_px(), 80, 1e-9);
  EXPECT_EQ(loop[0], (Point{0, 0}));
  for (std::ptrdiff_t i = 0; i < 114; ++i) EXPECT_LE(distance(loop[i], loop[i + 1]), loop.step_px + 1e-9);
  EXPECT_EQ(resample(rectangle, 1000).size(), 8u);
}

TEST(ArcLoop, ArcsWrapRound) {
  const ArcLoop loop = resample(rectangle, 0.5);
  EXPECT_NEAR(loop.wrap(-1), 79, 1e-12);
  EXPECT_NEAR(loop.wrap(161), 1, 1e-12);
  EXPECT_GE(loop.wrap(-1e-18), 0);
  EXPECT_LT(loop.wrap(-1e-18), 80);
  EXPECT_NEAR(loop.signed_arc_px(79, 2), 3, 1e-12);
  EXPECT_NEAR(loop.signed_arc_px(2, 79), -3, 1e-12);
  EXPECT_NEAR(loop.signed_arc_px(10, 50), 40, 1e-12);  // half the loop counts as forward
  EXPECT_NEAR(loop.ahead(2, 79), 77, 1e-12);
  EXPECT_LT(distance(loop.at(35), {30, 5}), 1e-9);
  EXPECT_LT(distance(loop.at(-2.25), {0, 2.25}), 1e-9);
}

// A Gaussian of sigma along a circle of radius R takes it to R exp(-sigma^2 / 2 R^2): the circle is one Fourier
// component of frequency 1 / R in arc length, and that is the Gaussian's Fourier transform there (own algebra).
TEST(ArcLoop, SmoothingShrinksACircleAsTheFormulaSays) {
  for (const auto& [radius, sigma] : {std::pair{10.0, 3.0}, {50.0, 3.0}, {20.0, 1.0}}) {
    const ArcLoop out = smooth(resample(support::circle_points({0, 0}, radius, 0.1), 0.25), sigma);
    double mean = 0;
    for (Point p : out.points) mean += norm(p) / double(out.size());
    // The kernel is cut off at 3.5 sigma: 5e-4 of its weight is missing, and with it 0.3 % of the shrinkage at most.
    EXPECT_NEAR(mean, radius * std::exp(-sigma * sigma / (2 * radius * radius)), 0.004);
  }
}

TEST(ArcLoop, DirectionsTurnOnceRoundACircle) {
  const ArcLoop loop = resample(support::circle_points({5, 5}, 40, 0.25), 1);
  const std::vector<double> angle = tangent_angles(loop);
  const double n = double(loop.size());
  EXPECT_NEAR(angle.back() - angle.front(), 2 * pi * (n - 1) / n, 1e-3);  // clockwise on screen: positive
  for (std::size_t i = 0; i + 1 < angle.size(); ++i) EXPECT_NEAR(angle[i + 1] - angle[i], 2 * pi / n, 2e-3);
}

TEST(ArcLoop, ALocalQuadraticOfAParabolaIsTheParabola) {
  ArcLoop loop;  // quadratic in its own parameter, so that the answer is exact
  for (int i = 0; i < 100; ++i) loop.points.push_back({double(i), 0.01 * (i - 40) * (i - 40)});
  const LocalFit f = local_quadratic(loop, 30, 60, 40);
  EXPECT_LT(distance(f.at, {40, 0}), 1e-6);
  EXPECT_LT(distance(f.tangent, {1, 0}), 1e-6);
  EXPECT_NEAR(f.curvature, 0.02, 1e-7);
  const LocalFit g = local_quadratic(loop, 30, 60, 52);  // y' = 0.24, curvature 0.02 / (1 + y'^2)^(3/2)
  EXPECT_LT(distance(g.tangent, unit({1, 0.24})), 1e-6);
  EXPECT_NEAR(g.curvature, 0.02 / std::pow(1 + 0.24 * 0.24, 1.5), 1e-7);
}

TEST(ArcLoop, AnOpenLineKeepsItsEndsAndIsLedOnStraight) {
  std::vector<Point> line;  // an arc of 100 px
  for (int i = 0; i <= 1000; ++i) line.push_back(Point{200, 200} + 100.0 * direction(0.001 * i));
  const ArcLoop loop = resample_line(line, 0.7, 40);
  ASSERT_TRUE(loop.open());
  EXPECT_NEAR(loop.line_px, 100, 1e-3);
  EXPECT_EQ(loop.drawn_px(), loop.line_px);
  EXPECT_EQ(loop.drawn_count(), 144u);  // 100 / 0.7 rounded, and one
  EXPECT_EQ(loop[0], line.front());
  EXPECT_EQ(loop[std::ptrdiff_t(loop.drawn_count()) - 1], line.back());
  EXPECT_LT(distance(loop.at(loop.line_px), line.back()), 1e-9);
  for (std::ptrdiff_t i = 0; i < std::ptrdiff_t(loop.size()); ++i)
    EXPECT_LE(distance(loop[i], loop[i + 1]), loop.step_px + 1e-9);
  // Beyond either end it goes on along the tangent, so that a window round the end reads the line's own direction.
  EXPECT_LT(distance(loop.at(loop.line_px + 30), line.back() + 30.0 * direction(1 + std::numbers::pi / 2)), 0.05);
  EXPECT_LT(distance(loop.at(-30), line.front() - 30.0 * direction(std::numbers::pi / 2)), 0.05);
  const ArcLoop again = respaced(loop, 0.7);
  EXPECT_EQ(again.drawn_count(), loop.drawn_count());
  EXPECT_EQ(again[0], line.front());
}

TEST(ArcLoop, ALineThatEndsWhereItBeganIsOpenAllTheSame) {
  const ArcLoop loop = resample_line(std::vector<Point>{{0, 0}, {50, 0}, {50, 50}, {0, 0}}, 0.5, 20);
  EXPECT_NEAR(loop.line_px, 100 + std::hypot(50, 50), 1e-9);
  EXPECT_EQ(loop.at(loop.line_px), loop.at(0));
}

TEST(ArcLoop, TheNearestArcIsNearestWithinItsWindow) {
  support::Random r("ArcLoop", "nearest");
  const ArcLoop loop = resample(support::ellipse_points({50, 50}, 40, 15, 0.3, 0.2), 0.5);
  for (int k = 0; k < 200; ++k) {
    const double near = r.uniform(0, loop.length_px()), window = r.uniform(5, 30);
    const Point p = loop.at(near + r.uniform(-8, 8)) + Point{r.uniform(-5, 5), r.uniform(-5, 5)};
    double best = std::numeric_limits<double>::infinity();
    for (double u = -window; u <= window; u += 0.01) best = std::min(best, distance(p, loop.at(near + u)));
    const double arc = nearest_arc(loop, p, near, window);
    EXPECT_LE(std::abs(loop.signed_arc_px(near, arc)), window + 1e-9);
    EXPECT_NEAR(distance(p, loop.at(arc)), best, 0.02);
  }
}

}  // namespace
}  // namespace batten
