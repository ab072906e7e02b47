#pragma once
// Moves the edges of a network to the middle of their ink, to a part of a pixel.

#include "base/plane.h"
#include "network/line_network.h"

namespace batten {

/// Each edge is smoothed along its length and moved across it to the middle of the ink within 0.7 line widths. Near a
/// junction it stays: there the ink of the other lines counts in. ink: as LineMask::ink.
void place_edges(const Plane<float>& ink, double width_px, LineNetwork* net);

/// Gaussian average along an open row of points at even steps, its ends kept: beyond them it is mirrored through them.
Polyline smooth_open(const Polyline& points, double sigma_steps);

}  // namespace batten
