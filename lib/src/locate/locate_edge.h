#pragma once
// Sub-pixel position of the edge of a shaded shape.

#include "base/plane.h"
#include "base/polyline.h"

namespace batten {

struct EdgeSettings {
  double step_px;       ///< between points of the located loop
  double search_px;     ///< how far to either side of the rough edge
  double averaging_px;  ///< standard deviation of the average along the edge
};

/// Each point moves along the normal to the nearest zero of the contrast, on a profile averaged along the edge; three
/// rounds. Grid coordinates of `contrast`.
Polyline locate_edge(const Polyline& rough, const Plane<float>& contrast, const EdgeSettings& settings);

}  // namespace batten
