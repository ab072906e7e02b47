#include "condensed_residual.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <vector>

namespace batten {
namespace {

// Upper triangle R of g = R^T R in place. A column that the ones before it explain gets no row of its own.
void cholesky(Eigen::MatrixXd* g) {
  constexpr double explained = 1e-14;  // of its own square sum: what rounding leaves
  const Eigen::Index n = g->rows();
  for (Eigen::Index k = 0; k < n; ++k) {
    const double own = (*g)(k, k);
    double left = own;
    for (Eigen::Index i = 0; i < k; ++i) left -= (*g)(i, k) * (*g)(i, k);
    const bool counts = left > explained * own;
    const double pivot = counts ? std::sqrt(left) : 0;
    for (Eigen::Index j = k + 1; j < n; ++j) {
      double s = (*g)(k, j);
      for (Eigen::Index i = 0; i < k; ++i) s -= (*g)(i, k) * (*g)(i, j);
      (*g)(k, j) = counts ? s / pivot : 0;
    }
    (*g)(k, k) = pivot;
  }
}

}  // namespace

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
  if (!jacobians) {
    std::fill_n(residuals, blocks + 1, 0.0);
    residuals[0] = all.col(blocks).norm();
    return true;
  }
  Eigen::MatrixXd triangle(blocks + 1, blocks + 1);
  for (Eigen::Index j = 0; j <= blocks; ++j)
    for (Eigen::Index i = 0; i <= j; ++i) triangle(i, j) = all.col(i).dot(all.col(j));
  cholesky(&triangle);
  for (Eigen::Index i = 0; i <= blocks; ++i) residuals[i] = triangle(i, blocks);
  for (Eigen::Index k = 0; k < blocks; ++k)
    if (double* const j = jacobians[k])
      for (Eigen::Index i = 0; i <= blocks; ++i) j[i] = i <= k ? triangle(i, k) : 0;
  return true;
}

}  // namespace batten
