#include "locate/follow_strokes.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

// Gaussian average round the closed loop.
std::vector<double> averaged(const std::vector<double>& v, double sigma_rows) {
  Plane<float> column(1, int(v.size()));
  std::copy(v.begin(), v.end(), column.values.begin());
  average_along(sigma_rows, &column);
  return {column.values.begin(), column.values.end()};
}

// Solves a symmetric tridiagonal system by elimination; off[i] stands between rows i and i + 1.
std::vector<double> solve_tridiagonal(std::vector<double> diagonal, const std::vector<double>& off,
                                      std::vector<double> right) {
  const std::size_t n = diagonal.size();
  for (std::size_t i = 1; i < n; ++i) {
    const double m = off[i - 1] / diagonal[i - 1];
    diagonal[i] -= m * off[i - 1], right[i] -= m * right[i - 1];
  }
  right[n - 1] /= diagonal[n - 1];
  for (std::size_t i = n - 1; i-- > 0;) right[i] = (right[i] - off[i] * right[i + 1]) / diagonal[i];
  return right;
}

}  // namespace

double rms_difference(const std::vector<double>& a, const std::vector<double>& b, const std::vector<double>& weights) {
  double square = 0, weight = 1e-12;
  for (std::size_t i = 0; i < a.size(); ++i) square += weights[i] * (a[i] - b[i]) * (a[i] - b[i]), weight += weights[i];
  return std::sqrt(square / weight);
}

std::vector<double> stroke_slopes(Profiles profiles, double row_px, double along_px) {
  Plane<float>& v = profiles.values;
  const int n = v.height, width = v.width;
  const Plane<float> before = v;
  average_along(along_px / row_px, &v);
  std::vector<double> cross(n), square(n);
  for (int i = 0; i < n; ++i) {
    const float *back = v.row((i + n - 1) % n), *on = v.row((i + 1) % n), *row = v.row(i), *held = before.row(i);
    for (int j = 1; j + 1 < width; ++j) {
      if (held[j - 1] <= 0 || held[j] <= 0 || held[j + 1] <= 0) continue;
      const double along = (on[j] - back[j]) / (2 * row_px),
                   across = (row[j + 1] - row[j - 1]) / (2 * profiles.step_px);
      cross[i] -= along * across, square[i] += across * across;
    }
  }
  cross = averaged(cross, along_px / row_px), square = averaged(square, along_px / row_px);
  for (int i = 0; i < n; ++i) cross[i] = square[i] > 1e-9 ? cross[i] / square[i] : 0;
  return cross;
}

std::vector<double> follow_slopes(const std::vector<double>& middles, const std::vector<double>& slopes,
                                  const std::vector<double>& linked, double row_px, double crossover_px) {
  const std::size_t n = middles.size();
  const double pull = row_px * row_px / (crossover_px * crossover_px);
  std::vector<double> diagonal(n, pull), off(n), right(n);
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t next = (i + 1) % n;
    const double rise = 0.5 * (slopes[i] + slopes[next]) * row_px;
    off[i] = -linked[i];
    diagonal[i] += linked[i], diagonal[next] += linked[i];
    right[i] += pull * middles[i] - linked[i] * rise, right[next] += linked[i] * rise;
  }
  // The link from last to first by the formula of Sherman and Morrison (Press et al., "Numerical Recipes", 3rd edition
  // 2007, section 2.7).
  const double corner = off[n - 1], gamma = -diagonal[0];
  std::vector<double> u(n);
  u[0] = gamma, u[n - 1] = corner;
  diagonal[0] -= gamma, diagonal[n - 1] -= corner * corner / gamma;
  std::vector<double> x = solve_tridiagonal(diagonal, off, right);
  const std::vector<double> z = solve_tridiagonal(diagonal, off, u);
  const double ratio = corner / gamma;
  const double factor = (x[0] + ratio * x[n - 1]) / (1 + z[0] + ratio * z[n - 1]);
  for (std::size_t i = 0; i < n; ++i) x[i] -= factor * z[i];
  return x;
}

std::vector<double> links_along(const std::vector<Point>& normals, double band_px) {
  constexpr double half_turn = 0.6;  // rad
  const int n = int(normals.size()), half = std::max(1, int(std::lround(0.5 * band_px)));
  const auto at = [n](int i) { return std::size_t((i % n + n) % n); };
  std::vector<double> turn(normals.size()), linked(normals.size());
  for (int i = 0; i < n; ++i) {
    const Point a = normals[at(i - half)], b = normals[at(i + half)];
    turn[i] = std::abs(turn_between(a, b));
  }
  const int beside = std::max(1, int(std::lround(0.75 * band_px)));
  std::vector<double> wide;  // runs on beyond both ends
  for (int i = -beside; i < n + beside; ++i) wide.push_back(turn[at(i)]);
  for (int i = 0; i < n; ++i) {
    const double most = *std::max_element(wide.begin() + i, wide.begin() + i + 2 * beside + 1);
    linked[i] = 1 / (1 + std::pow(most / half_turn, 6));
  }
  return linked;
}

}  // namespace batten
