#pragma once
// How far a loop strays from anything smooth.

#include "base/polyline.h"

namespace batten {

/// The rms distance, px, of a window of +-half_window_px to the cubic fitted to it (x and y as cubics of arc length):
/// its 35 % quantile over all windows, which looks at smooth stretches, so that corners do not count. step_px is the
/// distance of points. 0 for loops too short to hold two windows of nine points.
double cubic_residual(const Polyline& loop, double step_px, double half_window_px);

}  // namespace batten
