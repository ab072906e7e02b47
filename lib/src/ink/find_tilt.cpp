#include "ink/find_tilt.h"

#include <algorithm>
#include <cmath>

#include "base/statistics.h"

namespace batten {
namespace {

constexpr double slope_step = 0.01;  // find_guides follows 0.04 either way from there
constexpr int steps_each_way = 20;
constexpr int strip_px = 16;         // at the steepest a line leaves 3 px of a strip's mean
constexpr int strips_of_piece = 20;  // 320 px: over them half a step is less than a line is broad
// Rows that differ this far: a printed line is no broader.
constexpr int beside_px = 5;
// Print outshines the other slopes by this. Measured: 1.6 to 3.9 on scans of squared paper, however they were turned;
// 1.03 to 1.35 on drawings without print, 2 where they are frames and arrows alone.
constexpr double least_contrast = 1.5;

// Mean over strips of columns, less the brighter of the means beside it; what is darker than most counts as one.
Plane<float> thin_lines(const Plane<float>& ink, const std::stop_token& stop) {
  const int n = ink.width / strip_px;
  Plane<float> mean(n, ink.height), out(n, ink.height);
  for (int y = 0; y < ink.height; ++y)
    for (int s = 0; s < n; ++s) {
      float sum = 0;
      for (int i = 0; i < strip_px; ++i) sum += ink.at(s * strip_px + i, y);
      mean.at(s, y) = sum / strip_px;
    }
  if (stop.stop_requested()) return out;
  std::vector<float> sizes;
  for (int y = beside_px; y + beside_px < ink.height; ++y)
    for (int s = 0; s < n; ++s) {
      const float v = mean.at(s, y) - std::max(mean.at(s, y - beside_px), mean.at(s, y + beside_px));
      out.at(s, y) = std::max(0.f, v);
      if (y % 4 == 0 && v != 0) sizes.push_back(std::abs(v));
    }
  // Twice the median: noise counts as what it is, print and pencil alike as little more.
  const float most = std::max(1e-4f, 2 * median(std::move(sizes)));
  for (float& v : out.values) v = std::min(v, most) / most;
  return out;
}

int shift_of(double slope, double x) { return int(std::lround(slope * x)); }

// How unevenly the lines of a slope share the rows: the sum of squares over all pieces of the picture.
double unevenness_of(const Plane<float>& thin, double slope) {
  double out = 0;
  std::vector<float> sum(thin.height);
  for (int first = 0; first < thin.width; first += strips_of_piece) {
    std::fill(sum.begin(), sum.end(), 0.f);
    for (int s = first; s < std::min(thin.width, first + strips_of_piece); ++s) {
      const int shift = shift_of(slope, (s - first + 0.5) * strip_px);
      for (int y = std::max(0, -shift); y < std::min(thin.height, thin.height - shift); ++y)
        sum[y] += thin.at(s, y + shift);
    }
    for (const float v : sum) out += double(v) * v;
  }
  return out;
}

std::vector<int> shifts(double slope, int width) {
  std::vector<int> out;
  for (int x = 0; x < width; ++x) out.push_back(shift_of(slope, x));
  return out;
}

}  // namespace

double find_tilt(const Plane<float>& ink, const std::stop_token& stop) {
  if (ink.width < strip_px * strips_of_piece || ink.height < 4 * beside_px) return 0;
  const Plane<float> thin = thin_lines(ink, stop);
  double most = 0, best = 0;
  std::vector<double> all;
  for (int k = -steps_each_way; k <= steps_each_way; ++k) {
    if (stop.stop_requested()) return 0;
    all.push_back(unevenness_of(thin, k * slope_step));
    if (all.back() > most) most = all.back(), best = k * slope_step;
  }
  return most > least_contrast * median(std::move(all)) ? best : 0;
}

Plane<float> levelled(const Plane<float>& ink, double slope) {
  const std::vector<int> shift = shifts(slope, ink.width);
  Plane<float> out(ink.width, ink.height + std::abs(shift.back()));
  const int down = std::max(0, shift.back());
  for (int y = 0; y < out.height; ++y)
    for (int x = 0; x < ink.width; ++x) {
      const int from = y + shift[x] - down;
      if (from >= 0 && from < ink.height) out.at(x, y) = ink.at(x, from);
    }
  return out;
}

Plane<float> tilted_back(const Plane<float>& level, double slope, int height) {
  const std::vector<int> shift = shifts(slope, level.width);
  const int down = std::max(0, shift.back());
  Plane<float> out(level.width, height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < level.width; ++x) out.at(x, y) = level.at(x, y - shift[x] + down);
  return out;
}

}  // namespace batten
