#pragma once
// Takes away nodes at extremes that are too shallow for one.

#include "refine/edit_draft.h"

namespace batten {

/// Takes away a node at an extreme where the curve through it can be flattened into the box of its new ends within the
/// limit, and no more of the drawing goes with it than noise explains. If the extreme beside it turns back by the same
/// little, both go or become one; otherwise the end beside it takes the direction of the axis. The end of a straight is
/// never taken. Tried on a copy; returns whether the draft changed.
bool try_flatten(const EditContext& c, DraftLoop* d, std::size_t node);

}  // namespace batten
