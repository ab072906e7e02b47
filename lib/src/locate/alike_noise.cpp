#include "locate/alike_noise.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/statistics.h"
#include "base/vec.h"

namespace batten {
namespace {

constexpr double shortest_px = 10;      // half windows: shorter ones show only what steady_samples() finds
constexpr double longest_px = 80;       // letters have hardly any smooth stretch of more than twice that
constexpr double quiet_part = 0.1;      // of the windows, those that stray least
constexpr double least_windows = 4;     // side by side along the line
constexpr double least_sigma_px = 0.1;  // less costs no node
// From one half window to one twice as long, 10 to 80 px: windows of simulated noise, alike over 10 px, grow by 1.4
// to 4.3 (its correlation falling as a bell, linearly or exponentially), what a cubic leaves of a bend by 16.
constexpr double most_growth = 4.5;
// Once noise shows it grows by no more than that (1.3 to 2 in the simulations), or no faster than a share of the step
// before; windows that the sides of corners reach into grow by 3 and more.
constexpr double settled_growth = 2.2, settling = 0.6;
// A cubic takes up what is alike over much of its window. In the same simulations the deviation is what it leaves times
// the growth to this power, within a quarter where windows of 80 px can be had, and less where not.
constexpr double noise_by_growth = 0.8;

// How far the points within half_px of each of many places lie off the cubics of arc length fitted to x and y there: of
// all places the quiet part. Noise along the line has gone into the arc length, so that this is noise across it.
std::optional<double> quiet_residual_px(const ArcLoop& line, double half_px) {
  const double step_px = line.step_px, length_px = line.drawn_px();
  const auto k = std::ptrdiff_t(std::lround(half_px / step_px));
  if (k < 5 || length_px < least_windows * 2 * half_px) return std::nullopt;
  // Orthogonal polynomials on 2 k + 1 even places (Gram's), by the three-term recurrence.
  const std::size_t count = 2 * std::size_t(k) + 1;
  std::vector<double> basis[4];
  for (int degree = 0; degree < 4; ++degree) {
    std::vector<double>& b = basis[degree];
    b.resize(count);
    for (std::size_t i = 0; i < count; ++i) b[i] = std::pow((double(i) - double(k)) / double(k), degree);
    for (int lower = 0; lower < degree; ++lower) {
      double part = 0;
      for (std::size_t i = 0; i < count; ++i) part += b[i] * basis[lower][i];
      for (std::size_t i = 0; i < count; ++i) b[i] -= part * basis[lower][i];
    }
    double power = 0;
    for (const double v : b) power += v * v;
    for (double& v : b) v /= std::sqrt(power);
  }
  const double begin_px = line.open() ? half_px : 0, end_px = line.open() ? length_px - half_px : length_px;
  std::vector<double> residuals;
  for (double at = begin_px; at < end_px; at += 0.25 * half_px) {
    Point parts[4];
    double power = 0;
    const Point middle = line.at(at);  // so that squares keep their digits
    for (std::size_t i = 0; i < count; ++i) {
      const Point p = line.at(at + (double(i) - double(k)) * step_px) - middle;
      power += norm2(p);
      for (int degree = 0; degree < 4; ++degree) parts[degree] = parts[degree] + basis[degree][i] * p;
    }
    for (const Point part : parts) power -= norm2(part);
    residuals.push_back(std::sqrt(std::max(0.0, power) / double(count)));
  }
  return quantile(std::move(residuals), quiet_part);
}

}  // namespace

AlikeNoise alike_noise(const ArcLoop& line) {
  AlikeNoise out;
  std::optional<double> shorter = quiet_residual_px(line, shortest_px);
  double last_growth = most_growth;
  for (double half_px = 2 * shortest_px; half_px <= longest_px && shorter; half_px *= 2) {
    const std::optional<double> longer = quiet_residual_px(line, half_px);
    if (!longer) break;
    const double growth = *shorter > 0 ? std::max(1.0, *longer / *shorter) : 2 * most_growth;
    // Noise that once shows grows no more; what does is the shape, and longer windows will see more of it.
    if (out.sigma_px > 0 && growth > std::max(settled_growth, settling * last_growth)) break;
    if (growth <= most_growth) {
      out = {*longer * std::pow(growth, noise_by_growth), 0.5 * half_px};
      last_growth = growth;
    }
    shorter = longer;
  }
  return out.sigma_px < least_sigma_px ? AlikeNoise{} : out;
}

}  // namespace batten
