#pragma once
// Leaf: the two sides of a corner as parabolas, and where they meet.

#include "base/arc_loop.h"

namespace batten {

/// A parabola: base + u t + k u^2 / 2 n, with n left of t.
struct Arm {
  Point base, tangent;
  double curvature = 0;
};
inline Point along(const Arm& a, double u) {
  return a.base + u * a.tangent + 0.5 * a.curvature * u * u * left_of(a.tangent);
}
inline Point heading(const Arm& a, double u) { return unit(a.tangent + a.curvature * u * left_of(a.tangent)); }

/// Least squares on arcs [from, to] of the loop, anchored at `to` (ends_here) or at `from`, tangent along the travel.
/// Arms shorter than three scales have too little to say about their curvature: it is scaled down.
Arm fit_arm(const ArcLoop& loop, double from, double to, bool ends_here, double scale_px);

/// Where a, walked forwards from its base by up to `reach`, meets b walked backwards: Newton. False where they don't.
bool meet(const Arm& a, const Arm& b, double reach, double* u, double* v, double least_sine = 0.15);

}  // namespace batten
