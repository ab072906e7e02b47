#pragma once
// Splits one segment of a draft into the fewest cubics that hold the limit.

#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Puts smooth nodes into a segment so that it falls into the fewest cubics within the loop's limit, by dynamic
/// programming over evenly spaced candidates (Plass & Stone, "Curve-fitting with segmentwise parametric cubics", 1983,
/// with a lexicographic cost: first the count, then the sum of squared errors). Where no choice holds the limit the
/// best two cubics are taken. Where a straight is split only its first part stays straight. Returns the number of
/// segments it became. Asked to stop, it takes the best found so far.
int split_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, const std::stop_token& stop = {});

}  // namespace batten
