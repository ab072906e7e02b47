#pragma once
// Finds where the fewest cubics meet on a stretch of loop that has no fixed nodes inside.

#include <optional>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "minimise/fit_segment.h"

namespace batten {

/// The nodes strictly between two ends, the second length_px (> 0) ahead of the first, that divide the stretch into the
/// fewest cubics that hold limit_px. How far one cubic gets from a place hardly ever shrinks when the place moves on (a
/// part of a cubic is a cubic), so two pointers find the farthest end from every candidate in O(candidates) fits, and
/// the count is the shortest path over the candidates (Plass & Stone, 1983); among paths of that count the one with the
/// smallest sum of squared errors over a choice of candidates is taken. coarser: times as far from candidate to
/// candidate as usual. Nothing if some gap between candidates can't be held.
std::optional<std::vector<DraftNode>> fewest_segments(const SpacedLoop& loop, const StretchEnd& from,
                                                      const StretchEnd& to, double length_px, double limit_px,
                                                      double coarser = 1);

/// The same for a loop whose nodes may all lie anywhere: every start within the first segment is tried.
std::optional<std::vector<DraftNode>> fewest_on_ring(const SpacedLoop& loop, double limit_px);

}  // namespace batten
