#pragma once
// Which closed polygon lies in which.

#include "base/polyline.h"

namespace batten {

/// For each polygon the smallest other one that holds it, or -1. A polygon without points lies in none and holds none.
std::vector<int> nesting(const std::vector<Polyline>& polygons);

}  // namespace batten
