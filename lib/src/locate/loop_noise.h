#pragma once
// How far a loop strays from anything smooth.

#include "base/polyline.h"

namespace batten {

/// The rms distance, px, of a window of +-half_window_px to the cubic fitted to it (x and y as cubics of arc length):
/// its 35 % quantile over all windows, which looks at smooth stretches, so that corners do not count. step_px is the
/// distance of points. An open line has no windows across its ends. 0 for loops too short to hold two windows of nine
/// points.
double cubic_residual(const Polyline& loop, double step_px, double half_window_px, bool open = false);

/// One standard deviation of a point of a located line across it, by what the line itself shows and what is usual for
/// its width. Points are 1 px apart.
double band_sigma_px(const Polyline& points, double band_px, bool open = false);

/// The same for the edge of a shaded shape, whose slope is edge_px wide; usual_px: what is usual for such an edge.
/// Points are 0.5 px apart.
double edge_sigma_px(const Polyline& points, double edge_px, double usual_px);

}  // namespace batten
