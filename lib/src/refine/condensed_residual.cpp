#include "refine/condensed_residual.h"

#include <Eigen/Core>
#include <Eigen/QR>
#include <algorithm>
#include <vector>

namespace batten {

CondensedResidual::CondensedResidual(std::unique_ptr<ceres::CostFunction> inner) : inner_(std::move(inner)) {
  *mutable_parameter_block_sizes() = inner_->parameter_block_sizes();
  set_num_residuals(int(parameter_block_sizes().size()) + 1);
}

bool CondensedResidual::Evaluate(double const* const* parameters, double* residuals, double** jacobians) const {
  const Eigen::Index rows = inner_->num_residuals(), blocks = num_residuals() - 1;
  Eigen::MatrixXd all(rows, blocks + 1);  // [J r]
  double* const r = all.col(blocks).data();
  std::vector<double*> columns(std::size_t(blocks), nullptr);
  if (jacobians)
    for (Eigen::Index k = 0; k < blocks; ++k) columns[std::size_t(k)] = all.col(k).data();
  if (!inner_->Evaluate(parameters, r, jacobians ? columns.data() : nullptr)) return false;
  std::fill_n(residuals, blocks + 1, 0.0);
  if (!jacobians) {
    residuals[0] = all.col(blocks).norm();
    return true;
  }
  const Eigen::HouseholderQR<Eigen::Ref<Eigen::MatrixXd>> in_place(all);  // R in the upper triangle of `all`
  const Eigen::Index left = std::min(rows, blocks + 1);
  std::copy_n(r, left, residuals);
  for (Eigen::Index k = 0; k < blocks; ++k)
    if (double* const j = jacobians[k]) {
      std::fill_n(j, blocks + 1, 0.0);
      std::copy_n(all.col(k).data(), std::min(left, k + 1), j);
    }
  return true;
}

}  // namespace batten
