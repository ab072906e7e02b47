#pragma once
// Leaf: closed sub-pixel polylines along which a plane takes one value.

#include <vector>

#include "base/plane.h"
#include "batten/geometry.h"

namespace batten {

using Polyline = std::vector<Point>;

/// Marching squares with linear interpolation, in grid coordinates. Outside the plane everything counts as below the
/// level, so that every loop closes. High ground lies to the right of the way along (y down): loops round high ground
/// run clockwise on screen. Saddles are joined by the mean of their four corners.
std::vector<Polyline> level_loops(const Plane<float>& plane, float level);

/// Shoelace sum over 2, px^2; positive when the loop runs clockwise on screen.
double signed_area(const Polyline& loop);
double length_of(const Polyline& loop);
/// Is the point inside (even-odd)?
bool contains(const Polyline& loop, Point p);
/// Points at equal steps of arc length, as near to step_px as closes evenly; at least 8.
Polyline resample(const Polyline& loop, double step_px);
/// Gaussian along the loop, of standard deviation sigma_steps in points (assumed evenly spaced).
Polyline smooth(const Polyline& loop, double sigma_steps);
/// Unit normals, to the left of the way along: out of the high ground of level_loops.
Polyline normals(const Polyline& loop);

}  // namespace batten
