#include "locate/loop_noise.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/statistics.h"

namespace batten {
namespace {

// Orthonormal polynomials of degree 0..3 on 2h+1 even points (Gram-Schmidt).
std::array<std::vector<double>, 4> basis_of(int h) {
  std::array<std::vector<double>, 4> basis;
  for (int d = 0; d < 4; ++d) {
    std::vector<double> v(2 * h + 1);
    for (int i = -h; i <= h; ++i) v[i + h] = std::pow(double(i) / h, d);
    for (int e = 0; e < d; ++e) {
      double dot = 0;
      for (std::size_t i = 0; i < v.size(); ++i) dot += v[i] * basis[e][i];
      for (std::size_t i = 0; i < v.size(); ++i) v[i] -= dot * basis[e][i];
    }
    double norm = 0;
    for (const double x : v) norm += x * x;
    for (double& x : v) x /= std::sqrt(norm);
    basis[d] = std::move(v);
  }
  return basis;
}

}  // namespace

double cubic_residual(const Polyline& loop, double step_px, double half_window_px) {
  const int n = int(loop.size());
  int h = int(std::lround(half_window_px / step_px));
  h = std::min(h, (n - 2) / 4);  // a window holds at most half of the loop
  if (h < 4) return 0;
  const auto basis = basis_of(h);
  std::vector<double> rms;
  for (int centre = 0; centre < n; centre += std::max(1, h / 2)) {
    const Point origin = loop[centre];
    std::array<double, 4> ax{}, ay{};
    double total = 0;
    for (int i = -h; i <= h; ++i) {
      const Point p = loop[((centre + i) % n + n) % n] - origin;
      total += p.x * p.x + p.y * p.y;
      for (int d = 0; d < 4; ++d) ax[d] += p.x * basis[d][i + h], ay[d] += p.y * basis[d][i + h];
    }
    for (int d = 0; d < 4; ++d) total -= ax[d] * ax[d] + ay[d] * ay[d];
    rms.push_back(std::sqrt(std::max(0., total) / (2 * h + 1 - 4)));
  }
  return quantile(std::move(rms), 0.35);
}

}  // namespace batten
