#pragma once
// Finds out which outline belongs to which polyline.

#include <span>
#include <vector>

#include "batten/geometry.h"

namespace batten {

/// For each outline the index of the polyline (points evenly spaced) that it follows, or -1. Each polyline is given
/// away once, the best pairs first. A pair follows one another where the mean distance, both ways, is under `most_px`
/// or a twentieth of the polyline's size, whichever is larger: an outline that strays here and there is still that
/// shape's outline. open: one flag a polyline, none: all are closed; open outlines follow open polylines only.
std::vector<int> match_outlines(std::span<const Outline> outlines, const std::vector<std::vector<Point>>& polylines,
                                double most_px, const std::vector<char>& open = {});

}  // namespace batten
