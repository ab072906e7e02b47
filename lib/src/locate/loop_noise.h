#pragma once
// Leaf of locate_loops: how far a loop strays from anything smooth.

#include "base/level_loops.h"

namespace batten {

/// Lower third (35 %) over windows of +-half_window_px of the rms distance to a cubic through the window (x and y as
/// cubics of arc length). The lower third looks at smooth stretches, corners do not count. 0 for loops too short for
/// it.
double cubic_residual(const Polyline& loop, double step_px, double half_window_px);

}  // namespace batten
