#pragma once
// Closed sub-pixel polylines along which a plane takes one value.

#include "base/plane.h"
#include "base/polyline.h"

namespace batten {

/// Marching squares with linear interpolation, in grid coordinates. Outside the plane everything counts as below the
/// level, so that every loop closes. High ground lies to the right of the direction of travel (y down): loops round
/// high ground run clockwise on screen. Saddles are joined by the mean of their four corners.
std::vector<Polyline> level_loops(const Plane<float>& plane, float level);

}  // namespace batten
