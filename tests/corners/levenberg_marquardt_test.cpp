#include "corners/levenberg_marquardt.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

// Rosenbrock's valley, 1960: the minimum of 100 (y - x^2)^2 + (1 - x)^2 is 0 at (1, 1).
TEST(LevenbergMarquardt, FindsTheEndOfRosenbrocksValley) {
  std::array<double, 2> x{-1.2, 1};
  const auto valley = [](const std::array<double, 2>& p, std::vector<double>* r) {
    *r = {10 * (p[1] - p[0] * p[0]), 1 - p[0]};
  };
  EXPECT_LT(levenberg_marquardt<2>(&x, {1e-6, 1e-6}, valley, 100), 1e-3);
  EXPECT_NEAR(x[0], 1, 0.05);
  EXPECT_NEAR(x[1], 1, 0.1);
}

TEST(LevenbergMarquardt, SolvesALinearProblemAndReturnsWhatIsLeft) {
  // A line through (0, 1), (1, 3), (2, 4): by the normal equations 7/6 + 3/2 t, squares left 1/6.
  std::array<double, 2> x{};
  const auto line = [](const std::array<double, 2>& p, std::vector<double>* r) {
    *r = {p[0] - 1, p[0] + p[1] - 3, p[0] + 2 * p[1] - 4};
  };
  EXPECT_NEAR(levenberg_marquardt<2>(&x, {1e-3, 1e-3}, line, 50), 1.0 / 6, 1e-6);
  EXPECT_NEAR(x[0], 7.0 / 6, 1e-3);
  EXPECT_NEAR(x[1], 1.5, 1e-3);
}

TEST(SolveCholesky, SolvesAndRefuses) {
  // {{4, 2}, {2, 3}} (1, 2) = (8, 8); {{1, 2}, {2, 1}} has the eigenvalue -1.
  std::array<double, 2> y{};
  ASSERT_TRUE(solve_cholesky<2>({{{4, 0}, {2, 3}}}, {8, 8}, &y));
  EXPECT_NEAR(y[0], 1, 1e-12);
  EXPECT_NEAR(y[1], 2, 1e-12);
  EXPECT_FALSE(solve_cholesky<2>({{{1, 0}, {2, 1}}}, {1, 1}, &y));
}

}  // namespace
}  // namespace batten
