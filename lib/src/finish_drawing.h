#pragma once
// Stage: drafts -> the Drawing that is handed out: nesting, direction, start node, handles as positions.

#include "draft.h"
#include "loops.h"
#include "space_loops.h"

namespace batten {

/// outlines[i] belongs to loops.loops[i]. Outer outlines run clockwise on screen, counters the other way (common
/// practice, no source). An outline starts at its lowest corner, the leftmost of those within a band width of the
/// lowest; without corners at its lowest extreme.
Drawing finish_drawing(const SpacedLoops& spaced, const Draft& draft, const std::vector<Guide>& guides);

/// For each polygon the smallest other one that holds it, or -1.
std::vector<int> nesting(const std::vector<std::vector<Point>>& polygons);

}  // namespace batten
