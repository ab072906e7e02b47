#pragma once
// Puts pinned nodes into a draft, and takes out those that stand where none may.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// The outline with a node for each of SpacedLoop::pins.nodes: one that stands there already, or a new one. Extremes
/// right beside a pinned node give way to it. Handles are not set yet.
DraftLoop pin_nodes(const SpacedLoop& loop, const DraftLoop& placed);

}  // namespace batten
