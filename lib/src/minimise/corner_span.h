#pragma once
// Leaf: the segments of a draft from one corner to the next, for outlines whose other nodes may lie anywhere.

#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "minimise/fewest_segments.h"

namespace batten {

struct CornerSpan {
  std::size_t first = 0, segments = 0;  ///< from node `first` on
  StretchEnd from, to;
  double way_px = 0;
  bool closed = false;  ///< all round, from the only corner to itself
};

/// Turns the numbering of the nodes so that the first is a corner. False, nothing changed, if there is none.
bool begin_at_corner(DraftLoop* d);
/// How many segments from the corner `first` to the next one, the loop's end being one (begin_at_corner()).
std::size_t segments_to_corner(const DraftLoop& d, std::size_t first);
CornerSpan corner_span(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t segments);
/// These nodes stand between the two corners now, the segments are cubics without handles yet.
void put_in_span(DraftLoop* d, const CornerSpan& span, const std::vector<DraftNode>& nodes);

}  // namespace batten
