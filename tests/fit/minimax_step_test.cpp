#include "fit/minimax_step.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace batten {
namespace {

constexpr int samples = 2001;

// Best polynomial of `terms` coefficients for `f` on [-1, 1], in the Chebyshev basis.
MinimaxProblem polynomial(const std::function<double(double)>& f, int terms, double most = 10) {
  MinimaxProblem p;
  p.jacobian.resize(samples, terms);
  p.residuals.resize(samples);
  std::vector<Eigen::Triplet<double>> entries;
  for (int i = 0; i < samples; ++i) {
    const double x = -1 + 2.0 * i / (samples - 1);
    p.residuals[i] = -f(x);
    for (int k = 0; k < terms; ++k) entries.emplace_back(i, k, std::cos(k * std::acos(x)));
  }
  p.jacobian.setFromTriplets(entries.begin(), entries.end());
  p.high = Eigen::VectorXd::Constant(terms, most), p.low = -p.high;
  p.quadratic = Eigen::MatrixXd::Zero(terms, terms), p.linear = Eigen::VectorXd::Zero(terms);
  return p;
}

// Chebyshev: of all polynomials of a lower degree none comes nearer to x^n on [-1, 1] than 2^(1 - n).
TEST(MinimaxStep, PowersAreApproachedAsChebyshevSays) {
  for (int n = 1; n <= 7; ++n) {
    const MinimaxStep step = minimax_step(polynomial([&](double x) { return std::pow(x, n); }, n));
    ASSERT_TRUE(step.found) << n;
    EXPECT_NEAR(step.largest * std::pow(2, n - 1), 1, 2e-3) << n;
  }
}

// |x| by polynomials of degree 2: x^2 + 1/8, 1/8 off (five points of equal error: 0, +-1/2, +-1).
TEST(MinimaxStep, TheCornerOfAnAbsoluteValue) {
  const MinimaxStep step = minimax_step(polynomial([](double x) { return std::abs(x); }, 3));
  ASSERT_TRUE(step.found);
  EXPECT_NEAR(step.largest, 0.125, 2e-4);
  EXPECT_NEAR(step.x[0], 0.625, 2e-3);  // x^2 + 1/8 = 5/8 + T2 / 2
  EXPECT_NEAR(step.x[1], 0, 2e-3);
  EXPECT_NEAR(step.x[2], 0.5, 2e-3);
}

TEST(MinimaxStep, BoundsHold) {
  const MinimaxStep step = minimax_step(polynomial([](double x) { return 3 + x; }, 2, 0.5));
  ASSERT_TRUE(step.found);
  EXPECT_LE(step.x.cwiseAbs().maxCoeff(), 0.5);
  EXPECT_NEAR(step.largest, 3, 1e-2);  // 3 + x less 0.5 (1 + x), at x = 1
}

// Two unknowns of which only the sum counts: the wish decides how they share it.
TEST(MinimaxStep, WhatTheLargestLeavesOpenIsUpToTheWish) {
  MinimaxProblem p = polynomial([](double x) { return 1 + 0.1 * x; }, 1);
  Eigen::SparseMatrix<double, Eigen::RowMajor> twice(samples, 2);
  std::vector<Eigen::Triplet<double>> entries;
  for (int i = 0; i < samples; ++i) entries.emplace_back(i, 0, 1.0), entries.emplace_back(i, 1, 1.0);
  twice.setFromTriplets(entries.begin(), entries.end());
  p.jacobian = twice, p.low = Eigen::Vector2d(-10, -10), p.high = Eigen::Vector2d(10, 10),
  p.linear = Eigen::Vector2d(0, 0);
  p.quadratic = Eigen::Vector2d(0.01, 0.03).asDiagonal();
  const MinimaxStep step = minimax_step(p);
  ASSERT_TRUE(step.found);
  EXPECT_NEAR(step.largest, 0.1, 2e-3);
  EXPECT_NEAR(step.x[0] / step.x[1], 3, 0.05);
}

TEST(MinimaxStep, NothingToDoAndNothingThatCanBeDone) {
  EXPECT_FALSE(minimax_step({}).found);
  MinimaxProblem p = polynomial([](double) { return 0.0; }, 2);
  EXPECT_FALSE(minimax_step(p).found) << "nothing is off";
  p = polynomial([](double x) { return x; }, 2);
  p.low[0] = 0;
  EXPECT_FALSE(minimax_step(p).found) << "no way down";
  p = polynomial([](double x) { return x; }, 2);
  p.residuals[7] = std::nan("");
  EXPECT_FALSE(minimax_step(p).found) << "not a number";
}

}  // namespace
}  // namespace batten
