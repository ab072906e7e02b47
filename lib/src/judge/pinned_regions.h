#pragma once
// Looks at a drawing near a place or within a polygon.

#include "batten/convert.h"

namespace batten {

/// px, from a place to the nearest outline or line; 1e9 where there is none.
double distance_from_outlines(const Drawing& drawing, Point place);
/// The outline nearest to a place, if one lies within 100 px of it; else -1.
int nearest_outline(const Drawing& drawing, Point place);

struct RegionLook {
  bool held = false;
  double distance_px = 0;
};
/// Is the drawing as a pin about the scan says?
RegionLook look_at_region(const Pin& pin, const Conversion& made);

}  // namespace batten
