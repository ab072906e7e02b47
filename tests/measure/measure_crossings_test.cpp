#include "measure/measure_crossings.h"

#include <gtest/gtest.h>

#include <chrono>
#include <cmath>
#include <numbers>
#include <vector>

#include "support/random.h"

namespace batten {
namespace {

double side(Point a, Point b, Point p) { return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x); }

// Every edge with every other one; no three corners of a random polygon lie on one line.
bool crosses_by_definition(const std::vector<Point>& p) {
  const std::size_t n = p.size();
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t k = i + 2; k < n; ++k) {
      if (i == 0 && k + 1 == n) continue;
      const Point a = p[i], b = p[(i + 1) % n], c = p[k], d = p[(k + 1) % n];
      if ((side(a, b, c) < 0) != (side(a, b, d) < 0) && (side(c, d, a) < 0) != (side(c, d, b) < 0)) return true;
    }
  return false;
}

TEST(MeasureCrossings, RandomPolygonsAgreeWithTheDefinition) {
  support::Random random(5);
  int crossing = 0, simple = 0;
  for (int c = 0; c < 400; ++c) {
    const int corners = 4 + c % 12;
    // Radii at rising angles do not cross; with a share of the corners thrown anywhere most do.
    const double thrown = c % 3 == 0 ? 0 : 0.15;
    std::vector<Point> polygon;
    for (int i = 0; i < corners; ++i) {
      const double a = 2 * std::numbers::pi * i / corners, r = 20 + 80 * random.uniform();
      polygon.push_back(random.uniform() < thrown ? Point{100 * random.uniform(), 100 * random.uniform()}
                                                  : Point{r * std::cos(a), r * std::sin(a)});
    }
    const bool truth = crosses_by_definition(polygon);
    EXPECT_EQ(polygon_crosses_itself(polygon), truth) << c;
    (truth ? crossing : simple) += 1;
  }
  EXPECT_GT(crossing, 50);
  EXPECT_GT(simple, 50);
}

TEST(MeasureCrossings, TouchesAndRepeatedCornersAreNoCrossings) {
  // Two squares that share one corner, gone round one after the other, and a corner given twice.
  EXPECT_FALSE(
      polygon_crosses_itself({{0, 0}, {10, 0}, {10, 10}, {10, 10}, {20, 10}, {20, 20}, {10, 20}, {10, 10}, {0, 10}}));
  EXPECT_TRUE(polygon_crosses_itself({{0, 0}, {10, 10}, {10, 0}, {0, 10}}));
  EXPECT_FALSE(polygon_crosses_itself({{0, 0}, {10, 0}, {20, 0}, {5, 0}})) << "all on one line";
  EXPECT_FALSE(polygon_crosses_itself({}));
}

// All edges of an upright side begin at nearly the same x.
TEST(MeasureCrossings, ALongUprightSideIsDoneInAMoment) {
  support::Random random(6);
  std::vector<Point> polygon;
  for (int i = 0; i < 100000; ++i) polygon.push_back({0.2 * random.uniform(), double(i)});
  polygon.push_back({500, 1e5});
  polygon.push_back({500, -1});
  const auto begin = std::chrono::steady_clock::now();
  EXPECT_FALSE(polygon_crosses_itself(polygon));
  EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(3));  // 0.1 s on an idle core
}

}  // namespace
}  // namespace batten
