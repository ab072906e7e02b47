#include "piece_data.h"

#include <algorithm>
#include <limits>

namespace batten {

namespace {
// How far a sharp corner may lie off its rounded loop, from its zone (which grows with the sharpness of the turn).
double corner_cut_px(const SpacedLoop& loop, double zone_px) {
  return (loop.band_px < 2 ? 1.2 : 0.8) * zone_px + loop.rounding_px + loop.sigma_px;
}
}  // namespace

PieceData points_between(const SpacedLoop& loop, double from, double to, double zone0, double zone1, double step_px,
                         int least) {
  const double way = loop.even.ahead(from, to);
  const int n = std::max(least, int(std::ceil(way / step_px)));
  PieceData out;
  out.points.reserve(std::size_t(n));
  out.weights.reserve(std::size_t(n));
  for (int i = 0; i < n; ++i) {
    const double u = way * (i + 0.5) / n;
    out.points.push_back(loop.even.at(from + u));
    out.weights.push_back(u < zone0 || way - u < zone1 ? corner_zone_weight : 1);
  }
  return out;
}

PieceData points_of_piece(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece, double step_px) {
  const Joint &a = d.joints[piece], &b = d.joints[d.next(piece)];
  return points_between(loop, a.arc, b.arc, a.corner ? a.zone_px : 0, b.corner ? b.zone_px : 0, step_px);
}

ArmDirection arm_at(const SpacedLoop& loop, const Joint& corner, double way_px, bool leaving) {
  const double zone = std::min(corner.zone_px, 0.3 * way_px);
  const double window = std::min(std::max(4.0, 1.5 * loop.scale_px), 0.6 * (way_px - zone));
  const double sign = leaving ? 1 : -1, near = corner.arc + sign * zone, far = near + sign * window;
  const LocalFit fit = local_quadratic(loop.even, std::min(near, far), std::max(near, far), near);
  ArmDirection out;
  // Half the turn that the bend beside the zone would make inside it: more would trust the bend too far.
  const double bend = std::clamp(0.5 * fit.curvature * zone, -0.3, 0.3);
  out.angle = angle_of(fit.tangent) - sign * bend;
  out.sd_rad = 0.15 + 1.5 * loop.sigma_px / window + (corner.zone_px > 0.3 * way_px ? 0.5 : 0);
  return out;
}

PieceError piece_error(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece) {
  const Joint &a = d.joints[piece], &b = d.joints[d.next(piece)];
  const double way = loop.even.ahead(a.arc, b.arc);
  const double zone0 = a.corner ? a.zone_px : 0, zone1 = b.corner ? b.zone_px : 0;
  const Cubic c = cubic_of(d, piece);
  const FootFinder finder(c);
  PieceError out;
  out.worst_arc = loop.even.wrap(a.arc + 0.5 * way);
  const double step = std::max(loop.even.step_px, way / 400);
  double weight = 0;
  for (double u = 0.5 * step; u < way; u += step) {
    if (u < zone0 || way - u < zone1) continue;
    const double share = u / way;
    const Point p = loop.even.at(a.arc + u);
    const auto f = finder.foot_near(p, share, 0.35);
    // Past a smooth end the neighbour carries on along the same tangent.
    const double off = std::abs(f.offset_px);
    out.sum2 += off * off * step;
    weight += step;
    if (off > out.max_px) out.max_px = off, out.worst_arc = loop.even.wrap(a.arc + u);
  }
  const double len = length(c), pad = 2 + 2 * loop.limit_px;
  const int n = std::clamp(int(len / std::max(1.0, loop.even.step_px)), 8, 160);
  double near = a.arc;
  for (int i = 0; i <= n; ++i) {
    const Point p = evaluate(c, finder.parameter_at(i / double(n)));
    const double expect = a.arc + way * i / n, window = 0.2 * way + pad;
    near = nearest_arc(loop.even, p, expect, window);
    double off = distance(p, loop.even.at(near));
    // Beside a corner the loop is rounded by design: only what sticks out farther than that counts.
    if (a.corner && distance(p, a.at) < 1.3 * zone0) off = std::max(0.0, off - corner_cut_px(loop, zone0));
    if (b.corner && distance(p, b.at) < 1.3 * zone1) off = std::max(0.0, off - corner_cut_px(loop, zone1));
    if (off > out.max_px) out.max_px = off, out.worst_arc = near;
  }
  return out;
}

int turning_sense(const SpacedLoop& loop, double from, double to) {
  const double way = loop.even.ahead(from, to);
  const double window = std::max({3.0, 1.2 * loop.scale_px, 0.12 * way});
  const int n = std::clamp(int(way / (0.5 * window)), 4, 40);
  // A turn back by less than the direction noise of a window is wobble.
  const double noise = 2 * loop.sigma_px / window, threshold = std::max(radians(2.5), noise);
  double last = 0, lo = 0, hi = 0;
  double up = 0, down = 0;
  for (int i = 0; i <= n; ++i) {
    const double s = from + way * i / n;
    const double w0 = std::min(window, s - from + 0.25 * window), w1 = std::min(window, from + way - s + 0.25 * window);
    const Point t = loop.even.at(s + w1) - loop.even.at(s - w0);
    const double a = i == 0 ? angle_of(t) : last + wrap_angle(angle_of(t) - last);
    if (i == 0) lo = hi = a;
    last = a;
    hi = std::max(hi, a), lo = std::min(lo, a);
    up = std::max(up, a - lo), down = std::max(down, hi - a);
  }
  if (std::max(up, down) < 0.6 * threshold) return 0;  // hardly bends: either side of the chord will do
  if (up > threshold && down > threshold) return 0;
  return up > down ? 1 : -1;
}

}  // namespace batten
