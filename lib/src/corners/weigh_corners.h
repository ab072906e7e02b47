#pragma once
// Stage: weighs each turning of an outlined drawing against the ink: is it two corners, one corner or a round?
//
// 1. Candidates of find_corners closer than two bands are one place.
// 2. The drawing's own band (its ink across, how its strokes end at plain corners, how much ink a right hypothesis
//    leaves over) is measured once for each band width.
// 3. At each place the three hypotheses are drawn and fitted to the ink round it.
// 4. A few ratios of what they leave over, together with how abruptly the loop itself turns, give the odds of each.
//    The corners of the most likely one replace the candidates.

#include "corners/find_corners.h"

namespace batten {

/// Without ink (polylines) the corners stay as they were; those of filled loops too, except that acute tips which ran
/// out farther than the ink are cut back. `ink` in grid coordinates. Error: cancelled.
Result<Corners> weigh_corners(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                              Progress& progress, int threads = 1);

}  // namespace batten
