#pragma once
// A closed polyline with even spacing, walked by arc length; an open line with a way back.

#include <span>

#include "base/polyline.h"

namespace batten {

/// Points at even distance step_px along a closed polyline; index i sits at arc i * step_px; everything wraps round.
struct ArcLoop {
  std::vector<Point> points;
  double step_px = 1;
  /// > 0: an open line, which takes up arcs [0, line_px]. The points beyond lead on straight from its end, back, and
  /// straight on to its start: what reads a window round a place near an end finds the line's own direction there.
  double line_px = 0;
  double run_on_px = 0;  ///< open: how far it is led on beyond either end
  std::size_t size() const { return points.size(); }
  double length_px() const { return step_px * double(points.size()); }
  bool open() const { return line_px > 0; }
  /// Length of what was drawn: without the way back of an open line.
  double drawn_px() const { return open() ? line_px : length_px(); }
  /// How many points were drawn; they come first.
  std::size_t drawn_count() const { return open() ? std::size_t(std::lround(line_px / step_px)) + 1 : points.size(); }
  std::size_t index(std::ptrdiff_t i) const {
    if (std::size_t(i) < points.size()) return std::size_t(i);  // nearly always: a division costs more than the look-up
    const auto n = std::ptrdiff_t(points.size());
    return std::size_t(((i % n) + n) % n);
  }
  Point operator[](std::ptrdiff_t i) const { return points[index(i)]; }
  /// Arc brought into [0, length).
  double wrap(double arc) const { return arc >= 0 && arc < length_px() ? arc : wrapped(arc); }
  /// Signed length from arc a to arc b along the shorter side, px, in (-length/2, length/2].
  double signed_arc_px(double a, double b) const {
    const double d = b - a, length = length_px(), half = 0.5 * length;
    if (d > -half && d <= half) return d;  // nearly always, and the remainder is slow
    if (std::abs(d) < length) return d > 0 ? d - length : d + length;
    const double w = std::remainder(d, length);
    return w <= -half ? w + length : w;
  }
  /// Length forward from a to b, px, in [0, length).
  double ahead(double a, double b) const;
  /// The place at an arc, linear between two points.
  Point at(double arc) const;

 private:
  double wrapped(double arc) const;
};

/// Even resampling of a closed polyline (last != first); the number of points is length / step rounded, at least 8.
ArcLoop resample(std::span<const Point> polyline, double step_px);

/// The same of an open polyline: line_px is its length, its ends are kept exactly. The way back leads on by run_on_px
/// at either end.
ArcLoop resample_line(std::span<const Point> polyline, double step_px, double run_on_px);

/// The loop, or the line with a new way back, spaced anew after its points were moved.
ArcLoop respaced(const ArcLoop& loop, double step_px);

/// Gaussian average along the arc; a circle of radius R shrinks to R exp(-sigma^2 / 2R^2).
ArcLoop smooth(const ArcLoop& loop, double sigma_px);

/// Direction of travel at each point, rad, between its two neighbours, unwrapped along the loop (angle[i+1] - angle[i]
/// is small): the last value differs from the first by nearly the whole turn.
std::vector<double> tangent_angles(const ArcLoop& loop);

/// The least-squares quadratic through the points on arcs [from, to], evaluated at arc `where`. With fewer than three
/// points there, the place on the loop itself and the chord.
struct LocalFit {
  Point at, tangent;     ///< the tangent is a unit vector
  double curvature = 0;  ///< 1/px
};
LocalFit local_quadratic(const ArcLoop& loop, double from, double to, double where);

/// The arc of the place on the loop nearest to p, looked for within +-window_px of arc `near` only.
double nearest_arc(const ArcLoop& loop, Point p, double near, double window_px);

}  // namespace batten
