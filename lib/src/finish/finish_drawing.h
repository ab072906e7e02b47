#pragma once
// Stage: drafts become the Drawing that is handed out, with nesting, direction, start node and handles as positions.

#include <vector>

#include "batten/convert.h"
#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Which node of a draft became which node of the outline.
struct NodeOrder {
  std::vector<std::size_t> draft_node_of;  ///< for each node of the outline
  bool reversed = false;                   ///< the outline runs against its loop: handles change places
};

/// Outer outlines run as Options::direction says (clockwise on screen by default), counters the other way (common
/// practice, no source). An outline starts at its lowest corner, the leftmost of those within a band width of the
/// lowest; without corners, or with Options::Start::extreme where it has extremes, at its lowest extreme. Open
/// lines keep the order in which they were located, and outlines that somebody drew (SpacedLoop::is_drawn) theirs.
std::vector<NodeOrder> node_orders(const SpacedLoops& spaced, const Draft& draft, const Options& options = {});

/// outlines[i] belongs to loops.loops[i]; nodes in the order of node_orders().
Drawing finish_drawing(const SpacedLoops& spaced, const Draft& draft, const std::vector<Guide>& guides,
                       const Options& options = {});

}  // namespace batten
