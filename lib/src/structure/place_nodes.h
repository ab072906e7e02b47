#pragma once
// Stage: sets the nodes that a practitioner would set first: at corners, straights and extremes.

#include "corners/find_corners.h"
#include "corners/space_loops.h"
#include "fit/draft.h"
#include "structure/find_straights.h"

namespace batten {

/// Sets nodes at corners, at the ends of straights, and (Options::Extremes::required) at the extremes between them; at
/// least two for each loop. Segments are not fitted yet: their handles are thirds of the chord, or of half the stretch
/// where that is longer. Error: cancelled.
Result<Draft> place_nodes(const SpacedLoops& loops, const Corners& corners, const Straights& straights,
                          const Options& options, Progress& progress);

}  // namespace batten
