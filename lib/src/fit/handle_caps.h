#pragma once
// How long the handles of one cubic may be.

#include "base/vec.h"

namespace batten {

struct HandleCaps {
  double start_px = 0, end_px = 0;
};

/// Longest handles that make neither folds nor spurs, for a cubic from p0 (unit direction t0) to p3 (unit direction
/// t3): 0.95 of the way to the meeting point of the tangents where they meet ahead of the start and behind the end (at
/// the meeting point itself the curvature degenerates); 0.7 of the chord where the cubic inflects; 1.6 chords where it
/// turns half round or more (a half circle needs 2/3, three quarters of a circle about 1.5). Measured: without these
/// caps two handles cross on one stem and the curve folds.
HandleCaps handle_caps(Point p0, Point t0, Point p3, Point t3);

/// Shortest handle worth drawing, as a share of the chord: below it the direction at the node means nothing.
inline constexpr double shortest_handle = 0.04;

}  // namespace batten
