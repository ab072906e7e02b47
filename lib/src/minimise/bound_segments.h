#pragma once
// Stage: proves how few segments an outline could have at the least. It says nothing about how to draw it.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Bounds of one outline, given its fixed nodes: corners and, with Options::Extremes::required, extremes and ends of
/// straights. Part of a cubic within the limit of a stretch is within the limit of the part: if one cubic can't hold a
/// stretch, a node lies strictly inside it. So between two fixed nodes there are at least one more segments than
/// disjoint stretches that no cubic holds, and on a ring at least as many. proven: a stretch is refused because it goes
/// back and forth along some direction more often than the two extremes of a cubic allow, or crosses a line more often
/// than three times (both by the degree of the polynomial), each by more than the limit. numerical: a stretch is
/// refused when no start of the least-squares and minimax fit, ends and directions free, handles of any length, comes
/// within 1.05 of the limit. A segment of the draft that holds is never refused, so neither bound exceeds the draft's
/// own count where the draft holds the limit. When asked to stop it returns soon, and what it returns is to be thrown
/// away.
LowerBound bound_of(const SpacedLoop& loop, const DraftLoop& d, bool extremes_required,
                    const std::stop_token& stop = {});

Result<std::vector<LowerBound>> bound_segments(const SpacedLoops& loops, const Draft& draft, const Options& options,
                                               Progress& progress);

}  // namespace batten
