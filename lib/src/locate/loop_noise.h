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

// How far a located point lies off the place that was meant, one standard deviation across the loop. The line itself
// cannot tell: what a hand misses by runs on over many widths, and looks like shape. So it is what is usual, measured
// on drawings of known outline (bench/calibration.cpp and drawings of another simulation), and less than the noise
// scales above, which fits need: those have to allow for the worst stretch of a line, and this is for all of it.

/// In the middle of a pencil line. From one careful line to searching strokes: 0.054 to 0.09 W. The geometric mean is
/// 0.072 with the four hands that are learnt from and the other simulation.
inline double known_band_sigma_px(double band_px) { return 0.07 * band_px; }
/// At the edge of a shaded shape, whose slope is edge_px wide. Rims that were firmed: 0.055, others up to 0.12.
inline double known_edge_sigma_px(double edge_px) { return 0.075 * edge_px; }
/// At a crisp edge, by the noise of the loop itself (locate_loops), which on small shapes sees the shape: its geometric
/// mean with what is usual, which is 0.05 px.
double known_crisp_sigma_px(double noise_px);

}  // namespace batten
