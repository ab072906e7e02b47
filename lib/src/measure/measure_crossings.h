#pragma once
// Crossings of polygons; those of outlines are in batten/measure.h.

#include <vector>

#include "batten/geometry.h"

namespace batten {

/// Does a closed polygon, its last corner joined to its first, cross itself? Places where it only touches itself are no
/// crossings. Time grows with the corners to the power of about 1.5; in the worst case, where all edges are long, with
/// their square.
bool polygon_crosses_itself(std::vector<Point> polygon);

}  // namespace batten
