#include "corners/corner_arms.h"

#include <algorithm>

namespace batten {

Arm fit_arm(const ArcLoop& loop, double from, double to, bool ends_here, double scale_px) {
  LocalFit f = local_quadratic(loop, from, to, ends_here ? to : from);
  const double len = to - from, free_len = 3 * scale_px;
  if (len < free_len) {  // too short for a curvature of its own: the chord's direction
    const LocalFit mid = local_quadratic(loop, from, to, 0.5 * (from + to));
    const double share = std::clamp(len / free_len, 0.0, 1.0);
    const double half = 0.5 * len * (ends_here ? 1 : -1), k = share * mid.curvature;
    const Point n = left_of(mid.tangent);
    f.at = mid.at + half * mid.tangent + 0.5 * k * half * half * n;
    f.tangent = unit(mid.tangent + k * half * n);
    f.curvature = k;
  }
  return {f.at, f.tangent, f.curvature};
}

bool meet(const Arm& a, const Arm& b, double most_px, double* u, double* v) {
  constexpr double least_sine = 0.15;  // arms more alike than 9 degrees meet anywhere within the error of their points
  double s = 0, t = 0;
  for (int k = 0; k < 8; ++k) {
    const Point gap = along(b, -t) - along(a, s), ta = heading(a, s), tb = heading(b, -t);
    const double den = cross(ta, tb);
    if (std::abs(den) < least_sine) return false;
    s = std::clamp(s + cross(gap, tb) / den, -0.5 * most_px, most_px);
    t = std::clamp(t + cross(ta, gap) / den, -0.5 * most_px, most_px);
  }
  *u = s, *v = t;
  return distance(along(a, s), along(b, -t)) <= 0.2 * most_px;
}

double half_inner_angle_rad(double turn_deg) { return radians(180 - std::min(turn_deg, 165.0)) / 2; }

double arm_gap_px(double width_px, double turn_deg) {
  return 0.5 * width_px / std::tan(half_inner_angle_rad(turn_deg)) + 0.25 * width_px;
}

}  // namespace batten
