#pragma once
// Stage: located loops -> the same loops with even spacing and the lengths by which the curve stages measure.

#include <optional>
#include <vector>

#include "base/arc_loop.h"
#include "base/loops.h"
#include "base/progress.h"
#include "batten/convert.h"

namespace batten {

/// A tolerance that is left to the drawing is never finer: below half a pixel a scan says little about places.
inline constexpr double finest_auto_tolerance_px = 0.5;

struct SpacedLoop {
  ArcLoop curve;
  Kind kind = Kind::outlined;
  double sigma_px = 0;        ///< uncertainty of a point
  double band_px = 0;         ///< W as measured; 0 for polylines and crisp fills
  double scale_px = 4.5;      ///< the length by which corners are judged: W, or what the spacing lets one see
  double rounding_px = 0;     ///< radius by which locating rounds a corner
  double correlation_px = 1;  ///< length over which errors are alike
  double limit_px = 1;        ///< what the fit must hold: the tolerance, or 2.6 sigma where that is larger
  double tolerance_px = 1;    ///< as asked; for `auto` the sigma, not below 0.5 px
  bool exact() const { return band_px < 2; }  ///< a polyline or a crisp fill: no pencil band
};

struct SpacedLoops {
  std::vector<SpacedLoop> loops;
};

/// px, of each loop: long ones take long.
std::vector<double> lengths_of(const SpacedLoops& loops);

Result<SpacedLoops> space_loops(const Loops& loops, const Options& options, Progress& progress);

/// Noise of a polyline from itself: 35th percentile over windows of the rms left by a local quadratic. An exact curve
/// gives nearly 0.
double polyline_sigma(const ArcLoop& loop, double half_window_px);

}  // namespace batten
