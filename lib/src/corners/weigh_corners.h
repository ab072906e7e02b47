#pragma once
// Stage: each turning of an outlined drawing read as two corners, one corner or a round, and weighed against the ink.
//
// 1. Candidates of find_corners closer than two bands are one place.
// 2. The drawing's own band (its ink across, how its strokes end at plain corners, how much ink a right reading leaves
//    over) is measured once for each band width.
// 3. At each place the three readings are drawn and fitted to the ink round it.
// 4. A few ratios of what they leave over, together with how abruptly the loop itself turns, give the odds of each
//    reading. The corners of the most likely one replace the candidates.

#include "corners/find_corners.h"

namespace batten {

/// Without ink (polylines) the corners stay as they were; those of filled loops too, but for acute tips that ran out
/// farther than the ink. Error: cancelled.
Result<Corners> weigh_corners(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                              Progress& progress, int threads = 1);

}  // namespace batten
