#pragma once
// Fits one cubic to one run of weighted points.

#include <span>

#include "base/cubic.h"

namespace batten {

struct CubicTask {
  std::span<const Point> points;                          ///< in order along the curve, end points included or not
  std::span<const double> weights = {};                   ///< one for each point; empty: all 1
  Point p0, p3;                                           ///< the ends, kept
  Point t0, t3;                                           ///< unit directions of travel at the ends
  bool free0 = false, free3 = false;                      ///< the direction may turn
  bool minimax = false;                                   ///< polish towards the smallest largest distance
  double minimax_above_px = 0, minimax_below_px = 1e300;  ///< but only what lies this far off before
  double minimax_enough_px = 0;                           ///< and only until it lies no farther off than this
  double hopeless_px = 1e300;  ///< least squares give up where the rms distance is bound to stay over it
  bool capped = true;          ///< keep to handle_caps()
  bool sliding = false;        ///< both ends may move across their directions
};

struct CubicFit {
  Cubic curve{};
  double max_px = 0, rms_px = 0;  ///< distance of the points to the curve (one way: measure() has the last word)
};

/// Least squares of the distance across the curve (Gauss-Newton with renewed foot points) from all area-and-moment
/// starts (Levien, "Fitting cubic Bézier curves", 2021: a cubic has up to three near-equal solutions) and from even
/// handles; the best one wins, then, if asked, Madsen's method (minimax_step.h) takes it to the smallest largest
/// distance. Needs at least two finite points.
CubicFit fit_cubic(const CubicTask& task);

/// Handle lengths, as shares of the chord, of the cubics that enclose the same area and first moment over the chord as
/// the points; where noise has merged two solutions into none, the nearest miss.
std::vector<std::pair<double, double>> area_moment_handles(std::span<const Point> points, Point p0, Point p3, Point t0,
                                                           Point t3);

}  // namespace batten
