#pragma once
// Leaf: which closed polygon lies in which.

#include <vector>

#include "batten/geometry.h"

namespace batten {

/// For each polygon the smallest other one that holds it, or -1.
std::vector<int> nesting(const std::vector<std::vector<Point>>& polygons);

/// Positive when the polygon runs clockwise on screen (y down).
double polygon_area_px2(const std::vector<Point>& polygon);

}  // namespace batten
