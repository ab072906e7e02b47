#include "fit/minimax_step.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using Rows = Eigen::SparseMatrix<double, Eigen::RowMajor>;

constexpr int most_steps = 40;      // 8 to 15 are usual
constexpr double close = 1e-3;      // of the largest residual at the end: finer than the linear model is
constexpr double short_of = 0.995;  // of the wall that a step would meet

// With v = (x, t): the least t + wish subject to J x - t <= -r, -J x - t <= r, x <= high, -x <= -low. Slacks and
// multipliers of the four groups stand in one vector, in that order.
class Program {
 public:
  explicit Program(const MinimaxProblem& p) : p_(p), m_(p.residuals.size()), n_(p.low.size()) {}

  Index rows() const { return 2 * (m_ + n_); }
  Index unknowns() const { return n_ + 1; }

  // A v
  VectorXd times(const VectorXd& v) const {
    VectorXd out(rows());
    const VectorXd jx = p_.jacobian * v.head(n_);
    out << jx.array() - v[n_], -jx.array() - v[n_], v.head(n_).array(), -v.head(n_).array();
    return out;
  }
  // A^T z
  VectorXd transposed(const VectorXd& z) const {
    VectorXd out(unknowns());
    out.head(n_) = p_.jacobian.transpose() * (z.head(m_) - z.segment(m_, m_)) + z.segment(2 * m_, n_) - z.tail(n_);
    out[n_] = -z.head(2 * m_).sum();
    return out;
  }
  VectorXd bounds() const {
    VectorXd out(rows());
    out << -p_.residuals, p_.residuals, p_.high, -p_.low;
    return out;
  }
  // Of t + wish
  VectorXd gradient(const VectorXd& v) const {
    VectorXd out(unknowns());
    out << p_.linear + p_.quadratic * v.head(n_), 1;
    return out;
  }
  // A^T diag(w) A + the quadratic
  MatrixXd normal(const VectorXd& w) const {
    MatrixXd out = MatrixXd::Zero(unknowns(), unknowns());
    for (Index i = 0; i < m_; ++i) {
      const double sum = w[i] + w[m_ + i], difference = w[i] - w[m_ + i];
      for (Rows::InnerIterator a(p_.jacobian, i); a; ++a) {
        for (Rows::InnerIterator b(p_.jacobian, i); b && b.col() <= a.col(); ++b)
          out(a.col(), b.col()) += sum * a.value() * b.value();
        out(n_, a.col()) -= difference * a.value();
      }
      out(n_, n_) += sum;
    }
    for (Index k = 0; k < n_; ++k) out(k, k) += w[2 * m_ + k] + w[2 * m_ + n_ + k];
    out.topLeftCorner(n_, n_) += p_.quadratic;
    return out.selfadjointView<Eigen::Lower>();
  }

 private:
  const MinimaxProblem& p_;
  Index m_, n_;
};

// The longest step, up to 1, that keeps v + step * dv >= 0.
double longest(const VectorXd& v, const VectorXd& dv) {
  double step = 1;
  for (Index i = 0; i < v.size(); ++i)
    if (dv[i] < 0) step = std::min(step, -v[i] / dv[i]);
  return step;
}

// The place, the slacks of the constraints and their multipliers.
struct Iterate {
  VectorXd v, s, z;
};

// One predictor-corrector step. False at the solution, and where no further step can be computed.
bool advance(const Program& program, const VectorXd& b, Iterate* at) {
  VectorXd &v = at->v, &s = at->s, &z = at->z;
  const double count = double(program.rows()), mu = s.dot(z) / count;
  const VectorXd dual = program.gradient(v) + program.transposed(z), primal = program.times(v) + s - b;
  if (mu * count < close * std::abs(v[v.size() - 1]) && dual.lpNorm<Eigen::Infinity>() < close) return false;
  const Eigen::LDLT<MatrixXd> factor(program.normal(z.cwiseQuotient(s)));
  if (factor.info() != Eigen::Success) return false;
  Iterate d;
  const auto solve = [&](const VectorXd& complement) {  // S dz + Z ds = -complement
    d.v = factor.solve(-dual - program.transposed((z.cwiseProduct(primal) - complement).cwiseQuotient(s)));
    d.s = -primal - program.times(d.v);
    d.z = (-complement - z.cwiseProduct(d.s)).cwiseQuotient(s);
  };
  const VectorXd products = s.cwiseProduct(z);
  solve(products);
  const double affine = std::min(longest(s, d.s), longest(z, d.z));
  const double ahead = (s + affine * d.s).dot(z + affine * d.z) / count, centring = std::pow(ahead / mu, 3);
  solve(products + d.s.cwiseProduct(d.z) - VectorXd::Constant(program.rows(), centring * mu));
  if (!d.v.allFinite() || !d.s.allFinite() || !d.z.allFinite()) return false;
  const double step = std::min({1.0, short_of * longest(s, d.s), short_of * longest(z, d.z)});
  v += step * d.v, s += step * d.s, z += step * d.z;
  return true;
}

}  // namespace

MinimaxStep minimax_step(const MinimaxProblem& problem) {
  const Index n = problem.low.size();
  MinimaxStep out{VectorXd::Zero(n), 0, false};
  if (n == 0 || problem.residuals.size() == 0 || !problem.residuals.allFinite()) return out;
  out.largest = problem.residuals.cwiseAbs().maxCoeff();
  if (!(out.largest > 0) || !(problem.low.maxCoeff() < 0) || !(problem.high.minCoeff() > 0)) return out;
  const Program program(problem);
  const VectorXd b = program.bounds();
  Iterate at{VectorXd::Zero(n + 1), {}, {}};
  at.v[n] = 1.2 * out.largest;  // strictly inside every constraint
  at.s = b - program.times(at.v);
  at.z = at.s.cwiseInverse() * (out.largest / double(program.rows()));
  for (int step = 0; step < most_steps; ++step)
    if (!advance(program, b, &at)) break;
  if (!at.v.allFinite()) return out;
  out.found = true;
  out.x = at.v.head(n).cwiseMax(problem.low).cwiseMin(problem.high);
  out.largest = (problem.residuals + problem.jacobian * out.x).cwiseAbs().maxCoeff();
  return out;
}

}  // namespace batten
