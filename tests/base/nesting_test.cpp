// Which polygon lies in which: against all pairs, and fast where there are many.

#include "base/nesting.h"

#include <gtest/gtest.h>

#include <chrono>
#include <numbers>
#include <random>

namespace batten {
namespace {

Polyline square(double x, double y, double side) {
  return {{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}};
}

std::vector<int> by_all_pairs(const std::vector<Polyline>& polygons) {
  std::vector<int> parent(polygons.size(), -1);
  for (std::size_t i = 0; i < polygons.size(); ++i)
    for (std::size_t k = 0; k < polygons.size(); ++k) {
      if (i == k || polygons[i].empty() || polygons[k].empty()) continue;
      const PointBox outer = box_of(polygons[k]), inner = box_of(polygons[i]);
      const double area = std::abs(signed_area_px2(polygons[k]));
      if (area <= std::abs(signed_area_px2(polygons[i])) || !outer.holds(inner.low) || !outer.holds(inner.high))
        continue;
      if (!contains(polygons[k], polygons[i][0])) continue;
      if (parent[i] < 0 || area < std::abs(signed_area_px2(polygons[std::size_t(parent[i])]))) parent[i] = int(k);
    }
  return parent;
}

TEST(Nesting, AsAllPairsSay) {
  std::mt19937 random(5);
  std::size_t nested = 0;
  for (int drawing = 0; drawing < 60; ++drawing) {
    std::vector<Polyline> polygons = {{}};
    std::uniform_real_distribution<double> place(-300, 300), exponent(-3, 9);
    for (int i = 0; i < 80; ++i) {
      const double side = std::exp2(exponent(random)), x = place(random), y = place(random);
      polygons.push_back(square(x, y, side));
      if (i % 5 == 0) polygons.push_back(square(x, y, side));  // its own image: neither holds the other
      if (i % 3 == 0) polygons.push_back(square(x + 0.1 * side, y + 0.1 * side, 0.5 * side));
    }
    const std::vector<int> found = nesting(polygons);
    EXPECT_EQ(found, by_all_pairs(polygons)) << "drawing " << drawing;
    for (const int parent : found) nested += parent >= 0;
  }
  EXPECT_GT(nested, 2000u);
}

// A hundred thousand small ones, and ten thousand one in another. All pairs would take minutes.
TEST(Nesting, ManyTakeAMoment) {
  std::mt19937 random(6);
  std::uniform_real_distribution<double> place(0, 4000);
  std::vector<Polyline> polygons;
  for (int i = 0; i < 100000; ++i) polygons.push_back(square(place(random), place(random), 3));
  for (int i = 0; i < 10000; ++i) polygons.push_back(square(-i, -i, 5000 + 2 * i));
  const auto begin = std::chrono::steady_clock::now();
  const std::vector<int> parent = nesting(polygons);
  EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(10));
  EXPECT_EQ(parent[100000], 100001);
  EXPECT_EQ(parent.back(), -1);
  EXPECT_GE(parent[0], 0);
}

}  // namespace
}  // namespace batten
