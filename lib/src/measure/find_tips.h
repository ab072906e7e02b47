#pragma once
// Which stretches of an outline reach beyond the line that was located, at its corners.

#include <span>
#include <vector>

#include "batten/convert.h"

namespace batten {

struct TipsFound {
  std::vector<Tip> tips;  ///< in order of their nodes
  double strayed_px = 0;  ///< largest distance, both ways, between outline and located line outside the tips
};

/// Distances are measured both ways, as measure() does. A stretch is where they are over allowed_px; one that comes
/// within reach_px of a corner, along the outline, is its tip, up to the corner and beyond on the other side. Of
/// several corners in one stretch the one that lies farthest off is named. A stretch of over six times reach_px strays,
/// but where it is no longer than the two sides of so far a corner: a crotch that pencil has filled.
TipsFound find_tips(const Outline& outline, std::span<const Point> located, double allowed_px, double reach_px);

}  // namespace batten
