#pragma once
// Stage: between fixed nodes, the fewest cubics within the limit, by dynamic programming over candidate nodes
// (Plass & Stone, "Curve-fitting with segmentwise parametric cubics", 1983, with lexicographic cost).

#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// With Options::Extremes::free only corners are fixed: a straight that runs smoothly into a curve keeps its nodes only
/// where that costs no segment.
Result<Draft> minimise_segments(const SpacedLoops& loops, const Draft& placed, const Options& options,
                                Progress& progress);

/// Fit one cubic to a segment of the draft as it stands (its ends kept); sets handles and free directions.
/// Returns the largest distance, px.
double fit_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, bool minimax, bool only_held = false);

/// Split one segment into the fewest cubics within limit_px (at most `most`); returns the number of segments it became.
/// Asked to stop, it takes the best found so far.
int split_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, double limit_px,
                  const std::stop_token& stop = {}, int most = 40);

}  // namespace batten
