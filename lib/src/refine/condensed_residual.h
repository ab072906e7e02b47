#pragma once
// Hands a residual of many rows and few scalars to Ceres as the few rows that say the same: the triangle R of
// [J r] = Q R has R^T R = [J r]^T [J r], so gradient, normal equations and cost are those of all the rows, and what the
// solver does with rows costs a tenth (square-root information: Bierman, Factorization Methods for Discrete Sequential
// Estimation, 1977). R by Householder's reflections (Eigen).

#include <ceres/cost_function.h>

#include <memory>

namespace batten {

/// Wraps a residual whose blocks all have size 1. Without derivatives asked for, the first row is the length of all
/// rows and the others are 0: the cost is the same. Row k of R belongs to block k, the last to the residual alone.
class CondensedResidual : public ceres::CostFunction {
 public:
  explicit CondensedResidual(std::unique_ptr<ceres::CostFunction> inner);
  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;

 private:
  std::unique_ptr<ceres::CostFunction> inner_;
};

}  // namespace batten
