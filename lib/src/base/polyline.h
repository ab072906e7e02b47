#pragma once
// Area, inside, normals and smoothing of a closed polyline.

#include <algorithm>
#include <vector>

#include "base/vec.h"

namespace batten {

/// A closed polyline; its last point differs from its first.
using Polyline = std::vector<Point>;

/// The smallest upright box that holds some points; it holds none until one is added.
struct PointBox {
  Point low{1e300, 1e300}, high{-1e300, -1e300};
  void add(Point p) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  bool holds(Point p) const { return p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y; }
};
PointBox box_of(const Polyline& points);

/// The place nearest to p on the straight from a to b.
inline Point nearest_on_segment(Point p, Point a, Point b) {
  const Point along = b - a;
  const double t = norm2(along) > 0 ? std::clamp(dot(p - a, along) / norm2(along), 0.0, 1.0) : 0;
  return a + t * along;
}

/// Positive when the loop runs clockwise on screen (y down).
double signed_area_px2(const Polyline& loop);
/// Is the point inside (even-odd)?
bool contains(const Polyline& loop, Point p);
/// Length of an open polyline, whose last point is its end.
double open_length_px(const Polyline& points);
/// Unit normals, to the left of the direction of travel: out of the high ground of level_loops. (0,0) where the two
/// neighbours of a point coincide.
Polyline normals(const Polyline& loop);

/// Points at equal steps along the loop, as near to step_px as closes evenly; at least 8.
Polyline evenly_spaced(const Polyline& loop, double step_px);

/// Gaussian average round a closed row of numbers or points at even steps; the standard deviation is in steps. The
/// kernel ends at 3.5 sigma, which leaves out 0.05 %.
template <class T>
std::vector<T> smooth_ring(const std::vector<T>& ring, double sigma_steps) {
  const auto n = std::ptrdiff_t(ring.size()), half = std::ptrdiff_t(std::ceil(3.5 * sigma_steps));
  if (half < 1 || n < 3) return ring;
  std::vector<double> weight;
  double total = 0;
  for (std::ptrdiff_t k = 0; k <= half; ++k) {
    weight.push_back(std::exp(-0.5 * double(k * k) / (sigma_steps * sigma_steps)));
    total += (k ? 2 : 1) * weight.back();
  }
  for (double& w : weight) w /= total;
  std::vector<T> wide, out;  // `wide` runs on beyond both ends: a remainder for each value would take longest
  wide.reserve(std::size_t(n + 2 * half)), out.reserve(ring.size());
  for (std::ptrdiff_t i = -half; i < n + half; ++i) wide.push_back(ring[(i % n + n) % n]);
  for (std::ptrdiff_t i = half; i < n + half; ++i) {
    T sum = weight[0] * wide[i];
    for (std::ptrdiff_t k = 1; k <= half; ++k) sum = sum + weight[k] * (wide[i + k] + wide[i - k]);
    out.push_back(sum);
  }
  return out;
}

}  // namespace batten
