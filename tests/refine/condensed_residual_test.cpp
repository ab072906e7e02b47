// What Ceres sees of the condensed rows against all of them: gradient J^T r, normal equations J^T J, cost r^T r
// (outside check: Eigen's products of the full rows).
#include "refine/condensed_residual.h"

#include <gtest/gtest.h>

#include <Eigen/Core>
#include <memory>

#include "support/random.h"

namespace batten {
namespace {

/// r = A x - b, the rows fixed.
class Linear : public ceres::CostFunction {
 public:
  Linear(Eigen::MatrixXd a, Eigen::VectorXd b) : a_(std::move(a)), b_(std::move(b)) {
    set_num_residuals(int(a_.rows()));
    for (Eigen::Index k = 0; k < a_.cols(); ++k) mutable_parameter_block_sizes()->push_back(1);
  }
  bool Evaluate(double const* const* x, double* residuals, double** jacobians) const override {
    Eigen::Map<Eigen::VectorXd> r(residuals, a_.rows());
    r = -b_;
    for (Eigen::Index k = 0; k < a_.cols(); ++k) {
      r += x[k][0] * a_.col(k);
      if (jacobians && jacobians[k]) Eigen::Map<Eigen::VectorXd>(jacobians[k], a_.rows()) = a_.col(k);
    }
    return true;
  }

 private:
  Eigen::MatrixXd a_;
  Eigen::VectorXd b_;
};

struct Rows {
  Eigen::MatrixXd jacobian;
  Eigen::VectorXd residual;
};

Rows rows_of(const ceres::CostFunction& f, const std::vector<double>& x) {
  Rows out{Eigen::MatrixXd(f.num_residuals(), Eigen::Index(x.size())), Eigen::VectorXd(f.num_residuals())};
  std::vector<const double*> at;
  std::vector<double*> columns;
  for (std::size_t k = 0; k < x.size(); ++k)
    at.push_back(&x[k]), columns.push_back(out.jacobian.col(Eigen::Index(k)).data());
  EXPECT_TRUE(f.Evaluate(at.data(), out.residual.data(), columns.data()));
  return out;
}

double cost_alone(const ceres::CostFunction& f, const std::vector<double>& x) {
  std::vector<const double*> at;
  for (const double& v : x) at.push_back(&v);
  Eigen::VectorXd r(f.num_residuals());
  EXPECT_TRUE(f.Evaluate(at.data(), r.data(), nullptr));
  return r.squaredNorm();
}

void compare(const Eigen::MatrixXd& a, const Eigen::VectorXd& b, const std::vector<double>& x) {
  const Linear all(a, b);
  const CondensedResidual few(std::make_unique<Linear>(a, b));
  ASSERT_EQ(few.num_residuals(), int(a.cols()) + 1);
  const Rows f = rows_of(few, x), r = rows_of(all, x);
  const double size = a.squaredNorm() + r.residual.squaredNorm();
  EXPECT_LT((f.jacobian.transpose() * f.jacobian - a.transpose() * a).norm(), 1e-12 * size);
  EXPECT_LT((f.jacobian.transpose() * f.residual - a.transpose() * r.residual).norm(), 1e-12 * size);
  EXPECT_NEAR(f.residual.squaredNorm(), r.residual.squaredNorm(), 1e-12 * size);
  EXPECT_NEAR(cost_alone(few, x), r.residual.squaredNorm(), 1e-12 * size);
}

Eigen::MatrixXd random_rows(support::Random* r, Eigen::Index rows, Eigen::Index columns) {
  Eigen::MatrixXd a(rows, columns);
  for (Eigen::Index k = 0; k < columns; ++k)
    for (Eigen::Index i = 0; i < rows; ++i) a(i, k) = r->uniform(-1, 1);
  return a;
}

TEST(CondensedResidual, SaysTheSameInFewerRows) {
  support::Random r("CondensedResidual", "rows");
  for (const int columns : {1, 4, 8}) {
    const Eigen::MatrixXd a = random_rows(&r, 120, columns);
    std::vector<double> x;
    for (int k = 0; k < columns; ++k) x.push_back(r.uniform(-3, 3));
    compare(a, random_rows(&r, 120, 1), x);
  }
}

TEST(CondensedResidual, BlocksThatDoNothingOrTheSame) {
  support::Random r("CondensedResidual", "rank");
  Eigen::MatrixXd a = random_rows(&r, 50, 5);
  a.col(1).setZero();
  a.col(3) = 2 * a.col(0);
  compare(a, random_rows(&r, 50, 1), {1, 2, 3, 4, 5});
}

TEST(CondensedResidual, FewerRowsThanBlocksAndNothingLeft) {
  support::Random r("CondensedResidual", "few");
  const Eigen::MatrixXd a = random_rows(&r, 3, 6);
  compare(a, random_rows(&r, 3, 1), {0, 1, 0, 1, 0, 1});
  Eigen::VectorXd x(6);
  x << 1, 2, 3, 4, 5, 6;
  compare(a, a * x, {1, 2, 3, 4, 5, 6});
}

TEST(CondensedResidual, LeavesOutWhatIsNotAskedFor) {
  support::Random r("CondensedResidual", "null");
  const CondensedResidual f(std::make_unique<Linear>(random_rows(&r, 30, 2), random_rows(&r, 30, 1)));
  const double x = 1, y = 2;
  const double* const at[] = {&x, &y};
  Eigen::VectorXd residual(3), column(3);
  double* columns[] = {nullptr, column.data()};
  ASSERT_TRUE(f.Evaluate(at, residual.data(), columns));
  const Rows all = rows_of(f, {1, 2});
  EXPECT_EQ(column, all.jacobian.col(1));
  EXPECT_EQ(residual, all.residual);
}

}  // namespace
}  // namespace batten
