#pragma once
// Stage: draws the outline between its fixed nodes with the fewest cubics that hold the limit.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Fits a cubic to every segment that is not straight. Where one does not hold the limit, the straights that run
/// smoothly into it are shortened (by at most 0.4 of their length) if that is enough, else it is split
/// (split_segment()). With Options::Extremes::free only corners are fixed: between them the nodes are placed anew
/// (fewest_segments()) where that takes fewer segments, or where what stands there does not hold the limit. Error:
/// cancelled.
Result<Draft> minimise_segments(const SpacedLoops& loops, const Draft& placed, const Options& options,
                                Progress& progress);

}  // namespace batten
