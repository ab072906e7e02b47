#pragma once
// Located loops: pixel stages (and fit()) make them, curve stages read them.

#include <vector>

#include "base/plane.h"
#include "batten/geometry.h"

namespace batten {

/// A closed sub-pixel polyline with what is known about its uncertainty. Never written again once located.
struct Loop {
  std::vector<Point> points;  ///< last != first, about 1 px apart (0.5 px for crisp fills)
  Kind kind = Kind::outlined;
  double sigma_px = 0;     ///< one standard deviation of a located point, across the loop
  double band_px = 0;      ///< W, width of the pencil band of this patch; soft fills: 6; crisp fills and polylines: 0
  double rounding_px = 0;  ///< r, radius by which locating rounds a corner: 0.3 W outlined, 0.35*6 soft fill, 0.4 crisp
  double correlation_px = 1;  ///< length over which errors of neighbouring points are alike
};

struct Loops {
  std::vector<Loop> loops;
  std::vector<Guide> guides;
  /// Signed ink of the sheet with guides subtracted, in grid coordinates; empty where there is no picture.
  Plane<float> ink;
  double ink_noise = 0;  ///< standard deviation of `ink` on bare paper
};

}  // namespace batten
