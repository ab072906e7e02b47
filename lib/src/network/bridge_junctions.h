#pragma once
// Carries a line on through the places where other lines meet it.

#include "base/polyline.h"

namespace batten {

/// Runs of points that are not sure are drawn anew from the sure ones on either side: one curve where the direction
/// turns by less than 40 degrees, else both sides run straight on to the corner where they meet. A run whose new points
/// would lie more than a width from all its old ones stays as it is. Runs at the ends of an open line run straight on
/// as far as the end was.
void bridge_junctions(bool closed, double width_px, const std::vector<char>& sure, Polyline* points);

}  // namespace batten
