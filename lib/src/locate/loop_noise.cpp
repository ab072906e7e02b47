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

// A cubic fitted to a window of the loop takes most of the slow noise into itself, and how much depends on the window.
// The factors turn what is left into the standard deviation of a point; they were measured on some 500 loops of known
// outlines. Short windows see little noise and long ones see the shape itself on small letters, so the least estimate
// counts.
struct WindowFactor {
  double half_window, factor;  // in W
};
constexpr WindowFactor band_factors[] = {{1.5, 33}, {2, 19}, {3, 10}, {4, 7}};
constexpr WindowFactor soft_factors[] = {{1.5, 31}, {2, 24}, {3, 18.5}, {4, 14}, {5, 10.5}};

template <std::size_t n>
double least_estimate(const Polyline& loop, double step_px, double band_px, const WindowFactor (&factors)[n],
                      bool open) {
  double least = 1e9;
  for (const WindowFactor& w : factors)
    least = std::min(least, w.factor * cubic_residual(loop, step_px, w.half_window * band_px, open));
  return least;
}

// That estimate is itself uncertain: a loop that happens to look smooth is not that good. So this is its geometric mean
// with what is usual for the width: a point strays by a twelfth of W in a band, by an eighth of the slope on a shaded
// edge.
double sigma_of(double estimate, double usual_px, double band_px) {
  return std::sqrt(usual_px * std::clamp(estimate, 0.02 * band_px, 0.3 * band_px));
}

}  // namespace

double cubic_residual(const Polyline& loop, double step_px, double half_window_px, bool open) {
  const int n = int(loop.size());
  int h = int(std::lround(half_window_px / step_px));
  h = std::min(h, (n - 2) / 4);  // a window holds at most half of the loop
  if (h < 4) return 0;
  const auto basis = basis_of(h);
  std::vector<double> rms;
  for (int centre = open ? h : 0; centre < (open ? n - h : n); centre += std::max(1, h / 2)) {
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

double band_sigma_px(const Polyline& points, double band_px, bool open) {
  return sigma_of(least_estimate(points, 1, band_px, band_factors, open), 0.085 * band_px, band_px);
}

double known_crisp_sigma_px(double noise_px) { return std::sqrt(0.05 * noise_px); }

double edge_sigma_px(const Polyline& points, double edge_px, double usual_px) {
  return sigma_of(least_estimate(points, 0.5, edge_px, soft_factors, false), usual_px, edge_px);
}

}  // namespace batten
