#pragma once
// Least squares with a handful of unknowns: Levenberg (1944), Marquardt (1963), with the damping on the diagonal and
// derivatives by forward differences, for residuals that are cheap and smooth.
//
// Sums and Cholesky's factorisation are written out, in one fixed order. With Eigen's products and LLT the unknowns
// moved by 1e-12, and choices between outlines that are as good turned on that: 5 of 38 drawings got other nodes, and
// would again with another version of Eigen.

#include <array>
#include <cmath>
#include <vector>

namespace batten {

/// Solves M y = g by Cholesky's factorisation, M symmetric and given by its lower triangle. False where M is not
/// positive definite.
template <std::size_t N>
bool solve_cholesky(std::array<std::array<double, N>, N> m, std::array<double, N> g, std::array<double, N>* y) {
  for (std::size_t i = 0; i < N; ++i)
    for (std::size_t j = 0; j <= i; ++j) {
      for (std::size_t k = 0; k < j; ++k) m[i][j] -= m[i][k] * m[j][k];
      if (i == j && !(m[i][i] > 0)) return false;
      m[i][j] = i == j ? std::sqrt(m[i][i]) : m[i][j] / m[j][j];
    }
  for (std::size_t i = 0; i < N; ++i) {
    for (std::size_t k = 0; k < i; ++k) g[i] -= m[i][k] * g[k];
    g[i] /= m[i][i];
  }
  for (std::size_t i = N; i-- > 0;) {
    for (std::size_t k = i + 1; k < N; ++k) g[i] -= m[k][i] * g[k];
    g[i] /= m[i][i];
  }
  *y = g;
  return true;
}

/// Minimises the sum of squares of residuals(x, r), which fills r with the same number of values each time, from *x on.
/// `steps`: lengths of the differences. Returns the sum that is left. Ends after `rounds` rounds at most, or when one
/// gains less than a thousandth.
template <std::size_t N, class Residuals>
double levenberg_marquardt(std::array<double, N>* x, const std::array<double, N>& steps, Residuals&& residuals,
                           int rounds) {
  const auto dot = [](const std::vector<double>& a, const std::vector<double>& b) {
    double s = 0;
    for (std::size_t k = 0; k < a.size(); ++k) s += a[k] * b[k];
    return s;
  };
  std::vector<double> now, moved;
  residuals(*x, &now);
  double cost = dot(now, now), damping = 1e-2;
  std::array<std::vector<double>, N> jacobian;
  for (int round = 0; round < rounds; ++round) {
    std::array<std::array<double, N>, N> normal{};
    std::array<double, N> downhill, step;
    for (std::size_t i = 0; i < N; ++i) {
      std::array<double, N> beside = *x;
      beside[i] += steps[i];
      residuals(beside, &jacobian[i]);
      for (std::size_t k = 0; k < now.size(); ++k) jacobian[i][k] = (jacobian[i][k] - now[k]) / steps[i];
      downhill[i] = -dot(jacobian[i], now);
      for (std::size_t j = 0; j <= i; ++j) normal[i][j] = dot(jacobian[i], jacobian[j]);
    }
    double gain = 0;
    for (int attempt = 0; attempt < 4 && gain <= 0; ++attempt) {
      auto damped = normal;
      for (std::size_t i = 0; i < N; ++i) damped[i][i] += damping * normal[i][i] + 1e-12;
      if (solve_cholesky(damped, downhill, &step)) {
        std::array<double, N> next = *x;
        for (std::size_t i = 0; i < N; ++i) next[i] += step[i];
        residuals(next, &moved);
        if (const double left = dot(moved, moved); left < cost) {
          gain = cost - left, cost = left;
          *x = next;
          std::swap(now, moved);
        }
      }
      damping *= gain > 0 ? 0.3 : 8;
    }
    if (gain <= 0 || gain < 1e-3 * cost) break;
  }
  return cost;
}

}  // namespace batten
