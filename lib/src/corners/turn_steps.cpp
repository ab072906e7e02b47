#include "corners/turn_steps.h"

#include <algorithm>
#include <array>

namespace batten {
namespace {

constexpr double narrow_widths = 0.3;
constexpr std::array wide_widths = {0.15, 0.3, 0.45, 0.65, 0.9, 1.2, 1.6, 2.1};
constexpr double bend_ridge = 0.02;  // a steady bend takes only what steps can't explain
constexpr double least_gap_widths = 0.4;

using Column = std::vector<double>;

// Least squares of y on up to four columns, ridge on the second; returns the mean square left and the weights.
template <std::size_t N>
double fit(const std::array<const Column*, N>& columns, const Column& y, std::array<double, N>* weights) {
  double m[N][N + 1] = {};
  double yy = 0;
  const double count = double(y.size());
  for (std::size_t k = 0; k < y.size(); ++k) yy += y[k] * y[k];
  for (std::size_t i = 0; i < N; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double s = 0;
      for (std::size_t k = 0; k < y.size(); ++k) s += (*columns[i])[k] * (*columns[j])[k];
      m[i][j] = m[j][i] = s;
    }
    double s = 0;
    for (std::size_t k = 0; k < y.size(); ++k) s += (*columns[i])[k] * y[k];
    m[i][N] = s;
  }
  m[1][1] += bend_ridge * count;
  double left = yy;
  std::array<double, N> right;
  for (std::size_t i = 0; i < N; ++i) m[i][i] += 1e-9 * count, right[i] = m[i][N];
  for (std::size_t i = 0; i < N; ++i)  // positive definite: no pivoting needed
    for (std::size_t r = i + 1; r < N; ++r) {
      const double f = m[r][i] / m[i][i];
      for (std::size_t c = i; c <= N; ++c) m[r][c] -= f * m[i][c];
    }
  for (std::size_t i = N; i-- > 0;) {
    double s = m[i][N];
    for (std::size_t c = i + 1; c < N; ++c) s -= m[i][c] * (*weights)[c];
    (*weights)[i] = s / m[i][i];
  }
  for (std::size_t i = 0; i < N; ++i) left -= (*weights)[i] * right[i];
  return std::max(left, 0.0) / count;
}

Column step_at(const Column& s, double centre, double width) {
  Column out;
  for (double x : s) out.push_back(0.5 * std::erfc(-(x - centre) / (width * std::sqrt(2.0))));
  return out;
}

}  // namespace

TurnSteps turn_steps(const ArcLoop& loop, double arc, double back_px, double ahead_px, double band_px) {
  const double h = std::max(loop.step_px, band_px / 10);
  Column s, theta, ones, slope;
  double last = 0;
  for (double x = -back_px; x <= ahead_px; x += h) {
    const double a = angle_of(loop.at(arc + x + 0.5 * h) - loop.at(arc + x - 0.5 * h));
    last = s.empty() ? a : last + wrap_angle(a - last);
    s.push_back(x), theta.push_back(last), ones.push_back(1), slope.push_back(x / band_px);
  }
  double mean = 0;
  for (double t : theta) mean += t / double(theta.size());
  for (double& t : theta) t -= mean;
  TurnSteps out;
  out.one = out.free = out.two = 1e300;
  std::array<double, 3> w3;
  std::array<double, 4> w4;
  std::vector<double> centres;
  std::vector<Column> narrow;
  for (double c = -0.8 * back_px; c <= 0.8 * ahead_px; c += band_px / 8) {
    centres.push_back(c);
    narrow.push_back(step_at(s, c, narrow_widths * band_px));
  }
  for (std::size_t i = 0; i < centres.size(); ++i) {
    out.one = std::min(out.one, fit<3>({&ones, &slope, &narrow[i]}, theta, &w3));
    for (double w : wide_widths) {
      const Column wide = step_at(s, centres[i], w * band_px);
      out.free = std::min(out.free, fit<3>({&ones, &slope, &wide}, theta, &w3));
    }
    for (std::size_t j = i + 1; j < centres.size(); ++j) {
      if (centres[j] - centres[i] < least_gap_widths * band_px) continue;
      const double e = fit<4>({&ones, &slope, &narrow[i], &narrow[j]}, theta, &w4);
      if (e >= out.two) continue;
      out.two = e;
      out.first_px = centres[i], out.second_px = centres[j];
      out.first_turn_rad = w4[2], out.second_turn_rad = w4[3];
    }
  }
  out.two = std::min(out.two, out.one), out.free = std::min(out.free, out.one);
  return out;
}

}  // namespace batten
