#include "refine/tied_residual.h"

#include <algorithm>

namespace batten {

TiedResidual::TiedResidual(std::unique_ptr<ceres::CostFunction> inner, std::vector<SumOfBlocks> sums,
                           std::size_t block_count)
    : inner_(std::move(inner)), sums_(std::move(sums)) {
  set_num_residuals(inner_->num_residuals());
  mutable_parameter_block_sizes()->assign(block_count, 1);
}

bool TiedResidual::Evaluate(double const* const* parameters, double* residuals, double** jacobians) const {
  const std::size_t n = sums_.size(), rows = std::size_t(num_residuals());
  std::vector<double> values(n, 0), slopes(jacobians ? n * rows : 0);
  std::vector<const double*> at(n);
  std::vector<double*> by(n, nullptr);
  for (std::size_t i = 0; i < n; ++i) {
    for (const auto& [block, factor] : sums_[i]) values[i] += factor * parameters[block][0];
    at[i] = &values[i];
    if (jacobians) by[i] = &slopes[i * rows];
  }
  if (!inner_->Evaluate(at.data(), residuals, jacobians ? by.data() : nullptr)) return false;
  if (!jacobians) return true;
  for (std::size_t b = 0; b < parameter_block_sizes().size(); ++b)
    if (jacobians[b]) std::fill(jacobians[b], jacobians[b] + rows, 0.0);
  for (std::size_t i = 0; i < n; ++i)
    for (const auto& [block, factor] : sums_[i])
      if (double* const j = jacobians[block])
        for (std::size_t r = 0; r < rows; ++r) j[r] += factor * slopes[i * rows + r];
  return true;
}

PullResidual::PullResidual(std::vector<double> factors, double target, double sd)
    : factors_(std::move(factors)), target_(target), sd_(sd) {
  set_num_residuals(1);
  mutable_parameter_block_sizes()->assign(factors_.size(), 1);
}

bool PullResidual::Evaluate(double const* const* parameters, double* residuals, double** jacobians) const {
  residuals[0] = -target_ / sd_;
  for (std::size_t b = 0; b < factors_.size(); ++b) {
    residuals[0] += factors_[b] * parameters[b][0] / sd_;
    if (jacobians && jacobians[b]) jacobians[b][0] = factors_[b] / sd_;
  }
  return true;
}

}  // namespace batten
