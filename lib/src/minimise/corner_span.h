#pragma once
// The segments of a draft from one corner to the next, for outlines whose other nodes may lie anywhere.

#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "minimise/fit_segment.h"

namespace batten {

struct CornerSpan {
  std::size_t first = 0, segments = 0;  ///< the corner, or pinned node, that it begins at, and how many segments it has
  StretchEnd from, to;
  double length_px = 0;  ///< of the loop
  bool closed = false;   ///< all round, from the only corner to itself
};

/// Numbers the nodes anew so that the first is a corner. Returns false, and changes nothing, if there is none.
bool begin_at_corner(DraftLoop* d);
/// How many segments lie between the corner `first` and the next one. The draft has to begin_at_corner().
std::size_t segments_to_corner(const DraftLoop& d, std::size_t first);
CornerSpan corner_span(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t segments);
/// Puts these nodes between the two corners instead of what stands there. The segments are cubics without handles yet.
void put_in_span(DraftLoop* d, const CornerSpan& span, const std::vector<DraftNode>& nodes);

}  // namespace batten
