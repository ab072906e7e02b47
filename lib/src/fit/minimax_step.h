#pragma once
// The step of a minimax fit, for which residuals are taken as linear.

#include <Eigen/Dense>
#include <Eigen/SparseCore>

namespace batten {

/// The task: find x, low <= x <= high (low < 0 < high), for which the largest |residuals + jacobian x| plus a second
/// cost, half x^T quadratic x + linear^T x, is smallest. quadratic: positive semidefinite, symmetric.
struct MinimaxProblem {
  Eigen::SparseMatrix<double, Eigen::RowMajor> jacobian;
  Eigen::VectorXd residuals, low, high;
  Eigen::MatrixXd quadratic;
  Eigen::VectorXd linear;
};

struct MinimaxStep {
  Eigen::VectorXd x;
  double largest = 0;  ///< |residuals + jacobian x| that it promises
  bool found = false;
};

/// Mehrotra's predictor-corrector interior point method (SIAM J. Optimization 2, 1992; for the quadratic: Nocedal &
/// Wright, Numerical Optimization, 2006, algorithm 16.4). Steps of this kind in a trust region are Madsen's method for
/// nonlinear minimax (J. Inst. Maths Applics 16, 1975). found is false where there is nothing
/// to do or something is not finite.
MinimaxStep minimax_step(const MinimaxProblem& problem);

/// What a step that goes as far as is trusted costs, as a share of the largest residual: among equal steps the shortest
/// is taken.
inline constexpr double staying_share = 0.01;
/// A step is kept where this share of what it promised came true.
inline constexpr double worth_keeping = 0.05;
/// The factor by which the trust in the linear model changes after a step.
inline double trust_factor(double came_true) { return came_true > 0.75 ? 2 : came_true > 0.25 ? 1 : 0.3; }

}  // namespace batten
