#include "base/cubic.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

using support::Random;

Cubic any_cubic(Random& r) {
  Cubic c;
  for (Point& p : c) p = {r.uniform(0, 100), r.uniform(0, 100)};
  return c;
}

// y = x^2 from a to b as a cubic: the parabola's Bezier points, degree raised (Farin, "Curves and Surfaces for CAGD",
// 5th edition, 2002, "Bezier Curve Topics").
Cubic parabola(double a, double b) {
  const Point p{a, a * a}, q{0.5 * (a + b), a * b}, r{b, b * b};
  return {p, (1.0 / 3) * p + (2.0 / 3) * q, (2.0 / 3) * q + (1.0 / 3) * r, r};
}

TEST(Cubic, BernsteinWeightsAreTheBinomials) {
  const auto b = bernstein(1.0 / 3);  // (2/3 + 1/3)^3, term by term
  const double expected[4] = {8.0 / 27, 12.0 / 27, 6.0 / 27, 1.0 / 27};
  for (std::size_t k = 0; k < 4; ++k) EXPECT_NEAR(b[k], expected[k], 1e-15);
}

TEST(Cubic, BothHalvesOfASplitLieOnTheWhole) {
  Random r("Cubic", "split");
  for (int k = 0; k < 50; ++k) {
    const Cubic c = any_cubic(r);
    const double t = r.uniform();
    const auto [first, second] = split(c, t);
    for (double u : {0.0, 0.3, 0.7, 1.0}) {
      EXPECT_LT(distance(evaluate(first, u), support::at(c, t * u)), 1e-12);
      EXPECT_LT(distance(evaluate(second, u), support::at(c, t + (1 - t) * u)), 1e-12);
    }
  }
}

TEST(Cubic, DerivativesAgreeWithDifferences) {
  Random r("Cubic", "derivatives");
  for (int k = 0; k < 50; ++k) {
    const Cubic c = any_cubic(r);
    const double t = r.uniform(0.1, 0.9), h = 1e-4;
    const Point d1 = (0.5 / h) * (evaluate(c, t + h) - evaluate(c, t - h));
    const Point d2 = (1 / (h * h)) * (evaluate(c, t + h) - 2 * evaluate(c, t) + evaluate(c, t - h));
    EXPECT_LT(distance(first_derivative(c, t), d1), 1e-4);
    EXPECT_LT(distance(second_derivative(c, t), d2), 1e-3);
  }
}

// Arc length of y = x^2 over [0, b]: b sqrt(1 + 4 b^2) / 2 + asinh(2 b) / 4.
TEST(Cubic, LengthOfAParabola) {
  const double exact = std::sqrt(5.0) / 2 + std::asinh(2.0) / 4;
  EXPECT_NEAR(length(parabola(0, 1)), exact, 1e-3 * exact);
  EXPECT_NEAR(length({Point{0, 0}, {0, 0}, {3, 4}, {3, 4}}), 5, 1e-12);
}

// Curvature of y = x^2 is 2 / (1 + 4 x^2)^(3/2). With y down it turns from right to down: clockwise, positive.
TEST(Cubic, CurvatureOfAParabola) {
  const Cubic c = parabola(-1, 1);
  for (double x : {-1.0, -0.25, 0.0, 0.5, 1.0})
    EXPECT_NEAR(curvature(c, 0.5 * (x + 1)), 2 / std::pow(1 + 4 * x * x, 1.5), 1e-12);
  EXPECT_NEAR(curvature({c[3], c[2], c[1], c[0]}, 0.5), -2, 1e-12);
}

TEST(Cubic, TangentsLookThroughRetractedHandles) {
  const Cubic one{Point{0, 0}, {0, 0}, {0, 2}, {3, 2}};
  EXPECT_LT(distance(start_tangent(one), {0, 1}), 1e-12);
  EXPECT_LT(distance(end_tangent(one), {1, 0}), 1e-12);
  const Cubic line{Point{0, 0}, {0, 0}, {3, 4}, {3, 4}};
  EXPECT_LT(distance(start_tangent(line), {0.6, 0.8}), 1e-12);
  EXPECT_LT(distance(end_tangent(line), {0.6, 0.8}), 1e-12);
}

TEST(Cubic, PokeIsTheFarthestWayOutOfTheBoxOfTheEnds) {
  // Heights 0, h, h, 0 reach 3 h / 4 half way.
  const ExtremumExcess arch = poke({Point{0, 0}, {10, -8}, {20, -8}, {30, 0}});
  EXPECT_NEAR(arch.depth_px, 6, 1e-12);
  EXPECT_NEAR(arch.t, 0.5, 1e-12);
  EXPECT_FALSE(arch.in_x);
  EXPECT_EQ(poke({Point{0, 0}, {10, 1}, {20, 8}, {30, 30}}).depth_px, 0);
  Random r("Cubic", "poke");
  int poked = 0;
  for (int k = 0; k < 300; ++k) {
    const Cubic c = any_cubic(r);
    double in_x = 0, in_y = 0;
    for (int i = 0; i <= 4000; ++i) {
      const Point p = support::at(c, i / 4000.0);
      in_x = std::max({in_x, std::min(c[0].x, c[3].x) - p.x, p.x - std::max(c[0].x, c[3].x)});
      in_y = std::max({in_y, std::min(c[0].y, c[3].y) - p.y, p.y - std::max(c[0].y, c[3].y)});
    }
    const double brute = std::max(in_x, in_y);
    EXPECT_NEAR(pokes(c)[0].depth_px, in_x, 1e-4);
    EXPECT_NEAR(pokes(c)[1].depth_px, in_y, 1e-4);
    EXPECT_NEAR(poke(c).depth_px, brute, 1e-4);
    poked += brute > 1;
  }
  EXPECT_GT(poked, 100);
}

TEST(FootFinder, AgreesWithTwentyThousandPlaces) {
  Random r("FootFinder", "brute");
  int off_curve = 0;
  for (int k = 0; k < 40; ++k) {
    // A curve as a fitter meets it: it runs from left to right without a fold.
    const Cubic c{Point{0, r.uniform(0, 60)},
                  {r.uniform(15, 45), r.uniform(0, 60)},
                  {r.uniform(55, 85), r.uniform(0, 60)},
                  {100, r.uniform(0, 60)}};
    const FootFinder finder(c);
    for (int m = 0; m < 20; ++m) {
      const double t0 = r.uniform(0.02, 0.98);
      const Point n = left_of(unit(support::derivative(c, t0))), p = support::at(c, t0) + r.uniform(-4, 4) * n;
      double brute = std::numeric_limits<double>::infinity();
      for (int i = 0; i <= 20000; ++i) brute = std::min(brute, distance(p, support::at(c, i / 20000.0)));
      const auto f = finder.foot(p);
      if (f.beyond_px != 0) continue;  // past an end: judged by the tangent
      EXPECT_LE(std::abs(f.offset_px), brute + 1e-9);
      EXPECT_GE(std::abs(f.offset_px), brute - 0.005) << "places of the search lie up to 0.01 px apart";
      EXPECT_LT(distance(f.at, support::at(c, f.t)), 1e-9);
      off_curve += brute > 0.5;
    }
  }
  EXPECT_GT(off_curve, 400);
}

TEST(FootFinder, BeyondTheEndsTheCurveGoesOnAlongItsTangents) {
  const FootFinder finder({Point{0, 0}, {10, 0}, {20, 5}, {30, 15}});
  const auto before = finder.foot({-7, 2});
  EXPECT_NEAR(before.beyond_px, -7, 1e-12);
  EXPECT_NEAR(before.offset_px, 2, 1e-12);
  const Point t = unit({10, 10}), p = Point{30, 15} + 4 * t + 3 * left_of(t);
  const auto after = finder.foot(p);
  EXPECT_NEAR(after.beyond_px, 4, 1e-9);
  EXPECT_NEAR(after.offset_px, 3, 1e-9);
}

TEST(FootFinder, LooksAmongTheGivenParametersOnly) {
  // A hairpin: both legs pass close by; the window says which one is meant.
  const Cubic c{Point{0, 0}, {100, 0}, {100, 10}, {0, 10}};
  const FootFinder finder(c);
  EXPECT_LT(finder.foot({20, 4}, 0, 0.4).at.y, 5);
  EXPECT_GT(finder.foot({20, 4}, 0.6, 1).at.y, 5);
}

}  // namespace
}  // namespace batten
