#pragma once
// Leaf: least squares with a handful of unknowns. Levenberg (1944), Marquardt (1963), damping on the diagonal;
// derivatives by forward differences, for residuals that are cheap and smooth.

#include <array>
#include <cmath>
#include <vector>

namespace batten {

/// Minimises sum of f(x)^2 from x on; f(x, residuals) fills a vector of fixed size. `steps` are the lengths of the
/// differences. Returns the sum at the end.
template <std::size_t N, class Residuals>
double small_least_squares(std::array<double, N>* x, const std::array<double, N>& steps, Residuals&& f, int rounds) {
  std::vector<double> r, moved;
  f(*x, &r);
  const auto sum_of = [](const std::vector<double>& v) {
    double s = 0;
    for (double a : v) s += a * a;
    return s;
  };
  double cost = sum_of(r), damp = 1e-2;
  std::array<std::vector<double>, N> jac;
  for (int round = 0; round < rounds; ++round) {
    double m[N][N], g[N];
    for (std::size_t i = 0; i < N; ++i) {
      auto y = *x;
      y[i] += steps[i];
      f(y, &jac[i]);
      for (std::size_t k = 0; k < r.size(); ++k) jac[i][k] = (jac[i][k] - r[k]) / steps[i];
    }
    for (std::size_t i = 0; i < N; ++i) {
      g[i] = 0;
      for (std::size_t k = 0; k < r.size(); ++k) g[i] -= jac[i][k] * r[k];
      for (std::size_t j = 0; j <= i; ++j) {
        double s = 0;
        for (std::size_t k = 0; k < r.size(); ++k) s += jac[i][k] * jac[j][k];
        m[i][j] = m[j][i] = s;
      }
    }
    bool better = false;
    double gain = 0;
    for (int attempt = 0; attempt < 4 && !better; ++attempt) {
      double a[N][N], b[N];  // Cholesky of m with its diagonal raised
      bool ok = true;
      for (std::size_t i = 0; i < N && ok; ++i)
        for (std::size_t j = 0; j <= i; ++j) {
          double s = m[i][j] + (i == j ? damp * m[i][i] + 1e-12 : 0);
          for (std::size_t k = 0; k < j; ++k) s -= a[i][k] * a[j][k];
          if (i == j) {
            ok = s > 0;
            a[i][i] = std::sqrt(std::max(s, 1e-300));
          } else {
            a[i][j] = s / a[j][j];
          }
        }
      if (ok) {
        for (std::size_t i = 0; i < N; ++i) {
          b[i] = g[i];
          for (std::size_t k = 0; k < i; ++k) b[i] -= a[i][k] * b[k];
          b[i] /= a[i][i];
        }
        for (std::size_t i = N; i-- > 0;) {
          for (std::size_t k = i + 1; k < N; ++k) b[i] -= a[k][i] * b[k];
          b[i] /= a[i][i];
        }
        auto y = *x;
        for (std::size_t i = 0; i < N; ++i) y[i] += b[i];
        f(y, &moved);
        const double c = sum_of(moved);
        if (c < cost) {
          better = true, gain = cost - c;
          *x = y, cost = c;
          std::swap(r, moved);
        }
      }
      damp = better ? damp * 0.3 : damp * 8;
    }
    if (!better || gain < 1e-3 * cost) break;
  }
  return cost;
}

}  // namespace batten
