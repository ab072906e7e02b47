#include "corners/space_loops.h"

#include <algorithm>

#include "base/widened_step.h"

namespace batten {
namespace {

SpacedLoop spaced(const Loop& loop, const Options& options) {
  SpacedLoop out;
  out.kind = loop.kind;
  out.start = loop.start, out.end = loop.end;
  out.face = loop.face;
  out.is_drawn = loop.is_drawn, out.is_drawn_back = loop.is_drawn_back, out.drawn_from = loop.drawn_from;
  out.is_known = loop.known.has_value();
  out.sigma_px = loop.sigma_px;
  out.band_px = loop.band_px;
  out.scale_px = std::max(loop.band_px, 4.5);  // shorter windows see the stairs of the pixel grid as turns
  const double step_px = widened_step_px(loop.points, loop.rounding_px < 0.2 ? 0.25 : out.exact() ? 0.5 : 1.0);
  // No window that is read round a place of a line reaches farther than some five scales.
  out.curve = loop.open ? resample_line(loop.points, step_px, 5 * out.scale_px + 10) : resample(loop.points, step_px);
  out.rounding_px = std::max(loop.rounding_px, 0.4 * out.curve.step_px);
  out.correlation_px = std::max(loop.correlation_px, out.curve.step_px);
  out.known_sigma_px = loop.known_sigma_px;
  out.waver_px = known_sigmas * out.sigma_px;
  const double asked_px = options.tolerance_px.value_or(finest_auto_tolerance_px);
  out.limit_px = options.hold_tolerance && options.tolerance_px ? asked_px : std::max(asked_px, out.waver_px);
  // `auto` asks for what the line itself can tell.
  out.tolerance_px = options.tolerance_px.value_or(out.limit_px);
  return out;
}

}  // namespace

double polyline_sigma(const ArcLoop& loop, double half_window_px) {
  std::vector<double> rms;
  const double len = loop.drawn_px(), stride = std::max(half_window_px, len / 400);
  for (double s = 0; s < len; s += stride) {
    const LocalFit fit = local_quadratic(loop, s - half_window_px, s + half_window_px, s);
    const Point n = left_of(fit.tangent);
    double sum = 0;
    int count = 0;
    for (double u = -half_window_px; u <= half_window_px; u += loop.step_px) {
      const double off = dot(loop.at(s + u) - fit.at, n) - 0.5 * fit.curvature * u * u;
      sum += off * off;
      ++count;
    }
    rms.push_back(std::sqrt(sum / std::max(count, 1)));
  }
  if (rms.empty()) return 0;
  const auto nth = rms.begin() + std::ptrdiff_t(0.35 * double(rms.size()));
  std::nth_element(rms.begin(), nth, rms.end());
  return *nth;
}

std::vector<double> lengths_of(const SpacedLoops& loops) {
  std::vector<double> out;
  for (const SpacedLoop& loop : loops.loops) out.push_back(loop.curve.drawn_px());
  return out;
}

LoopIndex index_of(const SpacedLoops& loops) {
  std::vector<const ArcLoop*> curves;
  double widest_px = 4;
  for (const SpacedLoop& loop : loops.loops) {
    curves.push_back(&loop.curve);
    widest_px = std::max(widest_px, loop.band_px);
  }
  return LoopIndex(curves, 1.5, widest_px);
}

double tangent_window_px(const SpacedLoop& loop) { return loop.exact() ? 3 : 3 + 0.7 * loop.band_px; }

Result<SpacedLoops> space_loops(const Loops& loops, const Options& options, Progress& progress) {
  SpacedLoops out;
  out.runs_on = loops.runs_on, out.origin = loops.origin, out.unit_px = loops.unit_px;
  for (const Loop& loop : loops.loops) {
    if (progress.stopped()) return progress.cancelled();
    out.loops.push_back(spaced(loop, options));
  }
  return out;
}

}  // namespace batten
