#pragma once
// The two sides of a corner as parabolas, where they meet, and how far from a corner its sides can be read.

#include "base/arc_loop.h"

namespace batten {

/// A parabola: base + u t + k u^2 / 2 n, with n left of t.
struct Arm {
  Point base, tangent;
  double curvature = 0;  ///< 1/px, positive towards n
};
inline Point along(const Arm& a, double u) {
  return a.base + u * a.tangent + 0.5 * a.curvature * u * u * left_of(a.tangent);
}
inline Point heading(const Arm& a, double u) { return unit(a.tangent + a.curvature * u * left_of(a.tangent)); }

/// Least squares on arcs [from, to] of the loop, anchored at `to` (ends_here) or at `from`, tangent along the travel.
/// Arms shorter than three scales have too little to say about their curvature: it is scaled down.
Arm fit_arm(const ArcLoop& loop, double from, double to, bool ends_here, double scale_px);

/// Where `a`, walked forwards from its base by up to most_px, meets `b`, walked backwards: Newton's method. False where
/// they do not meet, or at an angle whose sine is below 0.15.
bool meet(const Arm& a, const Arm& b, double most_px, double* u, double* v);

/// From this turn on two bands run into one another over a band and more beside their corner: its place is read from
/// arms that begin farther out.
inline constexpr double acute_turn_deg = 100;

/// Half the angle between the sides of a corner. Above 165 degrees of turn no side of a drawing is long enough for what
/// grows with 1 / tan of it: such turns count as 165.
double half_inner_angle_rad(double turn_deg);

/// How far from an acute corner its arms begin: two bands of that width are one for so long, and a quarter more.
double arm_gap_px(double width_px, double turn_deg);

}  // namespace batten
