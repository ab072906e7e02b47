// The middle of a profile through a window.
#include "base/weighted_middle.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace batten {
namespace {

constexpr double step_px = 0.25;
constexpr int count = 81;  // from -10 to 10 px

std::vector<float> bump(double at_px, double width_px) {
  std::vector<float> v;
  for (int j = 0; j < count; ++j) {
    const double d = (-10 + j * step_px - at_px) / width_px;
    v.push_back(float(std::exp(-0.5 * d * d)));
  }
  return v;
}

// The product of two Gaussians is one with the mean weighted by their precisions (any textbook of statistics): each
// round goes from c to (at / s^2 + c / w^2) / (1 / s^2 + 1 / w^2).
TEST(WeightedMiddle, FollowsTheProductOfTwoGaussians) {
  const WeightedMiddle middle(count, -10, step_px, 3);
  for (const double at : {-2.0, 0.0, 0.7, 2.5}) {
    double expected = 0;
    for (int round = 0; round < 4; ++round) expected = (at / (1.5 * 1.5) + expected / 9) / (1 / (1.5 * 1.5) + 1.0 / 9);
    EXPECT_NEAR(middle(bump(at, 1.5).data()), expected, 1e-3) << at;
  }
}

TEST(WeightedMiddle, NothingHasItsMiddleAtZero) {
  const WeightedMiddle middle(count, -10, step_px, 3);
  EXPECT_EQ(middle(std::vector<float>(count, 0.f).data()), 0);
}

TEST(WeightedMiddle, ANeighbourFarOutsideTheWindowHardlyCounts) {
  const WeightedMiddle middle(count, -10, step_px, 1.5);
  std::vector<float> v = bump(0.5, 1), far = bump(9, 1);
  const double alone = middle(v.data());
  for (int j = 0; j < count; ++j) v[std::size_t(j)] += far[std::size_t(j)];
  EXPECT_NEAR(middle(v.data()), alone, 0.05);
}

}  // namespace
}  // namespace batten
