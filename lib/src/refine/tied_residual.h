#pragma once
// Hands residuals of scalars that are sums of others to Ceres as residuals of those others, so that ties hold exactly.

#include <ceres/cost_function.h>

#include <memory>
#include <vector>

namespace batten {

/// A scalar as a sum over blocks of the residual it stands in.
using SumOfBlocks = std::vector<std::pair<std::size_t, double>>;  // (block, factor)

class TiedResidual : public ceres::CostFunction {
 public:
  /// inner: its blocks all have size 1; sums: one for each of them, over block_count blocks.
  TiedResidual(std::unique_ptr<ceres::CostFunction> inner, std::vector<SumOfBlocks> sums, std::size_t block_count);
  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;

 private:
  std::unique_ptr<ceres::CostFunction> inner_;
  std::vector<SumOfBlocks> sums_;
};

/// residual = (sum of factor * block - target) / sd
class PullResidual : public ceres::CostFunction {
 public:
  PullResidual(std::vector<double> factors, double target, double sd);
  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;

 private:
  std::vector<double> factors_;
  double target_, sd_;
};

}  // namespace batten
