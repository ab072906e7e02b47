#include "corners/step_model.h"

#include <Eigen/Cholesky>
#include <array>
#include <cmath>

namespace batten {
namespace {

constexpr double bend_ridge = 0.02;
constexpr double least_ridge = 1e-9;  // keeps the equations solvable where a step lies at the end of the stretch

using Column = Eigen::VectorXd;

// Columns: ones, the slope, then the steps.
template <int N>
StepFit fitted(const std::array<const Column*, N>& columns, const Column& theta) {
  Eigen::Matrix<double, N, N> normal;
  Eigen::Matrix<double, N, 1> right;
  const auto count = double(theta.size());
  for (int i = 0; i < N; ++i) {
    for (int j = 0; j <= i; ++j) normal(i, j) = normal(j, i) = columns[std::size_t(i)]->dot(*columns[std::size_t(j)]);
    right[i] = columns[std::size_t(i)]->dot(theta);
  }
  normal(1, 1) += bend_ridge * count;
  normal.diagonal().array() += least_ridge * count;
  const Eigen::Matrix<double, N, 1> weights = normal.ldlt().solve(right);
  return {std::max(theta.squaredNorm() - weights.dot(right), 0.0) / count, weights[2]};
}

}  // namespace

StepModel::StepModel(const std::vector<double>& places_px, const std::vector<double>& theta_rad, double scale_px)
    : places_(Column::Map(places_px.data(), Eigen::Index(places_px.size()))),
      ones_(Column::Ones(places_.size())),
      slope_(places_ / scale_px),
      theta_(Column::Map(theta_rad.data(), places_.size())) {
  theta_.array() -= theta_.mean();
}

Eigen::VectorXd StepModel::step(double centre_px, double width_px) const {
  return places_.unaryExpr([&](double s) { return 0.5 * std::erfc(-(s - centre_px) / (width_px * std::sqrt(2.0))); });
}

StepFit StepModel::fit(const Column& step) const { return fitted<3>({&ones_, &slope_, &step}, theta_); }

StepFit StepModel::fit(const Column& first, const Column& second) const {
  return fitted<4>({&ones_, &slope_, &first, &second}, theta_);
}

}  // namespace batten
