#include "fit/segment_data.h"

#include <algorithm>
#include <limits>

namespace batten {

namespace {
// How far a sharp corner may lie off its rounded loop, from its zone (which grows with the sharpness of the turn).
double corner_cut_px(const SpacedLoop& loop, double zone_px) {
  return (loop.band_px < 2 ? 1.2 : 0.8) * zone_px + loop.rounding_px + loop.sigma_px;
}

// How far the located line may lie off two sides that run together beside a corner. Of a pencil line the middle of
// their ink lies between them, half a band from either at most; the edge of a shaded shape is rounded by its slope and
// by locating. What an exact edge does there is not asked.
double fused_px(const SpacedLoop& loop) {
  if (loop.exact()) return std::numeric_limits<double>::infinity();
  return 0.5 * loop.band_px + (loop.sort() == LoopSort::soft_edge ? loop.rounding_px : 0);
}

// How far one segment and its own stretch of loop are apart at a place of either.
class Gap {
 public:
  Gap(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment)
      : loop_(loop), a_(d.nodes[segment]), b_(d.nodes[d.next(segment)]), curve_(cubic_of(d, segment)), finder_(curve_) {
    loop_px = stretch_px(loop, d, segment), curve_px = length(curve_);
    zone0_ = a_.untrusted_px(), zone1_ = b_.untrusted_px();
  }
  double loop_px, curve_px;  // lengths of the two
  bool in_zone(double u) const { return u < zone0_ || loop_px - u < zone1_; }
  double arc(double u) const { return loop_.curve.wrap(a_.arc + u); }
  // From the loop, u px along. Past a smooth end the neighbour carries on along the same tangent.
  double from_loop_px(double u) const {
    return std::abs(finder_.foot_near(loop_.curve.at(a_.arc + u), u / loop_px, 0.35).offset_px);
  }
  // From the curve; `near`: the arc of the loop that is nearest there.
  double from_curve_px(double share, double* near) const {
    const Point p = evaluate(curve_, finder_.parameter_at(share));
    *near = nearest_arc(loop_.curve, p, a_.arc + share * loop_px, 0.2 * loop_px + 2 + 2 * loop_.limit_px);
    double off = distance(p, loop_.curve.at(*near));
    // Beside a corner the loop is rounded by design: only what sticks out farther than that counts.
    if (a_.corner && distance(p, a_.at) < 1.3 * zone0_) off = std::max(0.0, off - corner_cut_px(loop_, zone0_));
    if (b_.corner && distance(p, b_.at) < 1.3 * zone1_) off = std::max(0.0, off - corner_cut_px(loop_, zone1_));
    return off;
  }

 private:
  const SpacedLoop& loop_;
  const DraftNode &a_, &b_;
  const Cubic curve_;
  const FootFinder finder_;
  double zone0_, zone1_;
};

// Beside a bend of the loop the gap rises to a peak between two samples: from the highest of them ever shorter steps,
// each half as long as the last, lead up to it.
template <class Off>
void climb(double at, double step, double low, double high, double* most, Off&& off) {
  for (int k = 0; k < 4; ++k) {
    step *= 0.5;
    for (const double next : {at - step, at + step}) {
      if (next < low || next > high) continue;
      const double here = off(next);
      if (here <= *most) continue;
      *most = here, at = next;
      break;
    }
  }
}

struct FromLoop {
  double sum2 = 0, highest_px = 0, highest_u = -1;
};

FromLoop from_loop(const Gap& gap, double step, double fused_px) {
  FromLoop out;
  for (double u = 0.5 * step; u < gap.loop_px; u += step) {
    double off = gap.from_loop_px(u);
    if (gap.in_zone(u)) off = std::max(0.0, off - fused_px);
    out.sum2 += off * off * step;
    if (off > out.highest_px) out.highest_px = off, out.highest_u = u;
  }
  return out;
}

double step_of(const SpacedLoop& loop, const Gap& gap) { return std::max(loop.curve.step_px, gap.loop_px / 400); }

}  // namespace

ArmDirection arm_at(const SpacedLoop& loop, const DraftNode& corner, double length_px, bool leaving) {
  const double zone = std::min(corner.zone_px, 0.3 * length_px);
  const double window = std::min(std::max(4.0, 1.5 * loop.scale_px), 0.6 * (length_px - zone));
  const double sign = leaving ? 1 : -1, near = corner.arc + sign * zone, far = near + sign * window;
  const LocalFit fit = local_quadratic(loop.curve, std::min(near, far), std::max(near, far), near);
  ArmDirection out;
  // Half the turn that the bend beside the zone would make inside it: more would trust the bend too far.
  const double bend = std::clamp(0.5 * fit.curvature * zone, -0.3, 0.3);
  out.angle = angle_of(fit.tangent) - sign * bend;
  out.sd_rad = 0.15 + 1.5 * loop.sigma_px / window + (corner.zone_px > 0.3 * length_px ? 0.5 : 0);
  return out;
}

double stretch_px(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  return loop.curve.ahead(d.nodes[segment].arc, d.nodes[d.next(segment)].arc);
}

SegmentData points_between(const SpacedLoop& loop, double from, double to, double zone0_px, double zone1_px,
                           double step_px) {
  constexpr int least = 10;
  const double length_px = loop.curve.ahead(from, to);
  const int n = std::max(least, int(std::ceil(length_px / step_px)));
  SegmentData out;
  out.points.reserve(std::size_t(n));
  out.weights.reserve(std::size_t(n));
  for (int i = 0; i < n; ++i) {
    const double u = length_px * (i + 0.5) / n;
    out.points.push_back(loop.curve.at(from + u));
    out.weights.push_back(u < zone0_px || length_px - u < zone1_px ? corner_zone_weight : 1);
  }
  return out;
}

SegmentData points_of_segment(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment, double step_px) {
  const DraftNode &a = d.nodes[segment], &b = d.nodes[d.next(segment)];
  return points_between(loop, a.arc, b.arc, a.untrusted_px(), b.untrusted_px(), step_px);
}

double square_sum_px3(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  if (d.segments[segment].way_back) return 0;
  const Gap gap(loop, d, segment);
  return from_loop(gap, step_of(loop, gap), fused_px(loop)).sum2;
}

SegmentError segment_error(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  if (d.segments[segment].way_back) return {0, 0, d.nodes[segment].arc};
  const Gap gap(loop, d, segment);
  SegmentError out;
  out.worst_arc = gap.arc(0.5 * gap.loop_px);
  const double step = step_of(loop, gap);
  const FromLoop there = from_loop(gap, step, fused_px(loop));
  out.sum2 = there.sum2;
  if (there.highest_u >= 0) out.max_px = there.highest_px, out.worst_arc = gap.arc(there.highest_u);
  const int n = std::clamp(int(gap.curve_px / std::max(1.0, loop.curve.step_px)), 8, 160);
  double highest_share = 0, back_px = 0;
  for (int i = 0; i <= n; ++i) {
    double near = 0;
    const double off = gap.from_curve_px(i / double(n), &near);
    if (off > back_px) back_px = off, highest_share = i / double(n);
    if (off > out.max_px) out.max_px = off, out.worst_arc = near;
  }
  // Only where it may decide: elsewhere a tenth of the limit is nothing.
  constexpr double nearly = 0.8;
  if (!limit_beyond_noise(loop) || out.max_px > loop.limit_px || out.max_px < nearly * loop.limit_px) return out;
  if (there.highest_u >= 0)
    climb(there.highest_u, step, 0, gap.loop_px, &out.max_px,
          [&](double u) { return gap.in_zone(u) ? 0 : gap.from_loop_px(u); });
  double near = 0;
  climb(highest_share, 1.0 / n, 0, 1, &out.max_px, [&](double share) { return gap.from_curve_px(share, &near); });
  return out;
}

bool limit_beyond_noise(const SpacedLoop& loop) {
  constexpr double explained = 5;  // sigma: no loop of ours has points enough for one to lie that far out by chance
  return loop.limit_px > explained * loop.sigma_px;
}

std::vector<TurningPoint> turning_points(const std::vector<double>& v, double depth) {
  std::vector<TurningPoint> out;
  std::size_t hi = 0, lo = 0;
  int trend = 0;  // +1 rising, -1 falling
  for (std::size_t i = 1; i < v.size(); ++i) {
    if (trend >= 0) {
      if (v[i] > v[hi]) hi = i;
      if (v[hi] - v[i] > depth) {
        if (trend > 0 || v[hi] - v[0] > depth) out.push_back({hi, true});
        trend = -1, lo = i;
      }
    }
    if (trend <= 0) {
      if (v[i] < v[lo]) lo = i;
      if (v[i] - v[lo] > depth) {
        if (trend < 0 || v[0] - v[lo] > depth) out.push_back({lo, false});
        trend = 1, hi = i;
      }
    }
  }
  return out;
}

int turning_sense(const SpacedLoop& loop, double from, double to) {
  const double length_px = loop.curve.ahead(from, to);
  const double window = std::max({3.0, 1.2 * loop.scale_px, 0.12 * length_px});
  const int n = std::clamp(int(length_px / (0.5 * window)), 4, 40);
  // A turn back by less than the direction noise of a window is wobble.
  const double noise = 2 * loop.sigma_px / window, threshold = std::max(radians(2.5), noise);
  double last = 0, lo = 0, hi = 0;
  double up = 0, down = 0;
  for (int i = 0; i <= n; ++i) {
    const double s = from + length_px * i / n;
    const double w0 = std::min(window, s - from + 0.25 * window),
                 w1 = std::min(window, from + length_px - s + 0.25 * window);
    const Point t = loop.curve.at(s + w1) - loop.curve.at(s - w0);
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
