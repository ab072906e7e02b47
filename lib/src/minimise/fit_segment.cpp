#include "minimise/fit_segment.h"

#include <algorithm>
#include <limits>

#include "fit/fit_cubic.h"
#include "fit/segment_data.h"

namespace batten {
namespace {

// Largest distance from the curve to the polyline of the points: a spur is near every point and far from all of them.
double spur_px(const Cubic& c, const std::vector<Point>& points, Point first, Point last) {
  constexpr int samples = 24;
  double worst2 = 0;
  for (int k = 1; k < samples; ++k) {
    const Point p = evaluate(c, k / double(samples));
    double nearest2 = std::numeric_limits<double>::infinity();
    Point a = first;
    const auto look = [&](Point b) {
      const Point edge = b - a;
      const double share = std::clamp(dot(p - a, edge) / std::max(norm2(edge), 1e-12), 0.0, 1.0);
      nearest2 = std::min(nearest2, norm2(p - (a + share * edge)));
      a = b;
    };
    for (const Point b : points) look(b);
    look(last);
    worst2 = std::max(worst2, nearest2);
  }
  return std::sqrt(worst2);
}

}  // namespace

StretchEnd stretch_end(const DraftNode& node, double angle) {
  return {node.at, node.arc, angle, node.untrusted_px(), node.corner};
}

StretchFit fit_stretch(const SpacedLoop& loop, const StretchEnd& a, const StretchEnd& b, double limit_px,
                       const StretchFitOptions& options) {
  constexpr double mendable = 2.5;  // Madsen's method never gained more than this factor over least squares
  const double step_px = std::max(loop.curve.step_px, loop.curve.ahead(a.arc, b.arc) / 60);
  const SegmentData data = points_between(loop, a.arc, b.arc, a.zone_px, b.zone_px, step_px);
  CubicTask task{data.points, data.weights, a.at, b.at, direction(a.angle), direction(b.angle), a.free, b.free, true};
  task.capped = options.capped;
  if (options.only_if_held) task.hopeless_px = limit_px;
  if (options.only_if_held && !options.minimax) task.minimax_enough_px = limit_px;
  if (!options.minimax) task.minimax_above_px = limit_px, task.minimax_below_px = mendable * limit_px;
  const CubicFit fit = fit_cubic(task);
  if (fit.max_px > limit_px) return {fit.curve, fit.max_px};
  // The chords of the points cut inside a bend by less than this.
  const double slack = 0.1 * limit_px, spur = spur_px(fit.curve, data.points, a.at, b.at);
  return {fit.curve, spur > limit_px + slack + a.zone_px + b.zone_px ? spur : fit.max_px};
}

double fit_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, const StretchFitOptions& options) {
  DraftSegment& p = d->segments[segment];
  if (p.straight) return 0;
  StretchEnd a = stretch_end(d->nodes[segment], start_angle(*d, segment)),
             b = stretch_end(d->nodes[d->next(segment)], end_angle(*d, segment));
  a.free = a.free && !p.start.on_axis, b.free = b.free && !p.end.on_axis;
  const StretchFit fit = fit_stretch(loop, a, b, loop.limit_px, options);
  p.start.handle_px = distance(fit.curve[0], fit.curve[1]);
  p.end.handle_px = distance(fit.curve[2], fit.curve[3]);
  if (a.free) p.start.angle_rad = angle_of(start_tangent(fit.curve));
  if (b.free) p.end.angle_rad = angle_of(end_tangent(fit.curve));
  return fit.max_px;
}

void fit_segments(const SpacedLoop& loop, DraftLoop* d, const Window& segments, const StretchFitOptions& options) {
  settle_angles(d);
  for (const std::size_t i : segments) fit_segment(loop, d, i, options);
  settle_angles(d);
}

}  // namespace batten
