#pragma once
// Leaf: a closed polyline with even spacing, walked by arc length.

#include <cstddef>
#include <span>
#include <vector>

#include "base/vec.h"

namespace batten {

/// Points at even distance step_px along a closed polyline; index i sits at arc i * step_px; everything wraps round.
struct ArcLoop {
  std::vector<Point> points;
  double step_px = 1;
  std::size_t size() const { return points.size(); }
  double length_px() const { return step_px * double(points.size()); }
  std::size_t index(std::ptrdiff_t i) const {
    if (std::size_t(i) < points.size()) return std::size_t(i);  // nearly always: a division costs more than the look-up
    const auto n = std::ptrdiff_t(points.size());
    return std::size_t(((i % n) + n) % n);
  }
  Point operator[](std::ptrdiff_t i) const { return points[index(i)]; }
  /// Arc brought into [0, length).
  double wrap(double arc) const;
  /// Signed way from arc a to arc b, in (-length/2, length/2].
  double way(double a, double b) const;
  /// Way forward from a to b, in [0, length).
  double ahead(double a, double b) const;
  Point at(double arc) const;
};

/// Even resampling of a closed polyline (last != first); the number of points is length / step rounded, at least 8.
ArcLoop resample(std::span<const Point> polyline, double step_px);

/// Gaussian along the arc, sigma_px; a circle of radius R shrinks to R exp(-sigma^2 / 2R^2).
ArcLoop smooth(const ArcLoop& loop, double sigma_px);

/// Direction of travel at each point: the line through a Gaussian-weighted neighbourhood, unwrapped along the loop
/// (angle[i+1] - angle[i] is small); the last value differs from the first by the total turn.
std::vector<double> tangent_angles(const ArcLoop& loop);

/// Least-squares quadratic through the points on arcs [from, to], evaluated at arc `where`: place and unit direction.
struct LocalFit {
  Point at, tangent;
  double curvature = 0;
};
LocalFit local_quadratic(const ArcLoop& loop, double from, double to, double where);

/// Arc of the place on the loop nearest to p, looked for within +-window_px of arc `near` only.
double nearest_arc(const ArcLoop& loop, Point p, double near, double window_px);

}  // namespace batten
