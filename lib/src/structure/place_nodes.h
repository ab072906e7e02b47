#pragma once
// Stage: corners, straights and extremes -> the nodes that a practitioner would set first.

#include "corners/find_corners.h"
#include "corners/space_loops.h"
#include "fit/draft.h"
#include "structure/find_straights.h"

namespace batten {

/// Nodes at corners, at the ends of straights, and (Options::Extremes::required) at extremes between them; at least two
/// a loop. Segments are not fitted yet: h0, h1 are thirds of the chord.
Result<Draft> place_nodes(const SpacedLoops& loops, const Corners& corners, const Straights& straights,
                          const Options& options, Progress& progress);

}  // namespace batten
