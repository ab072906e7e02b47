#pragma once
// Takes out of a network what thinning put in.

#include "base/plane.h"
#include "network/line_network.h"

namespace batten {

/// Half the width of the line at each pixel of the mask, px.
using LineDepth = Plane<float>;
LineDepth line_depth(const Plane<std::uint8_t>& lines);

/// The depth at the pixel nearest to a place.
double depth_at(const LineDepth& depth, Point at);

/// Junctions joined by an edge shorter than 0.7 of the line's half width on each side are one junction: thinning makes
/// two Ts of an X.
void merge_junctions(const LineDepth& depth, LineNetwork* net);

/// The end of a stroke that runs along another one for over 2.5 widths, no farther off than 1.2, is cut off there: two
/// strokes were drawn as one line and overlap. What overlaps all along goes.
void trim_overlaps(double width_px, LineNetwork* net);

/// Hairs go: ends shorter than the line is wide where they leave, counted from its middle, and rings as small.
void remove_hairs(const LineDepth& depth, LineNetwork* net);

}  // namespace batten
