#pragma once
// Leaf: extremes too shallow for a node. One edit, tried on a copy and kept only if what is round it holds.

#include "refine/edit_draft.h"

namespace batten {

/// A node at an extreme goes where the curve through it can be flattened into the box of its new end points within the
/// limit, and no more of the drawing goes with it than noise explains: together with the extreme beside it, if that
/// turns back the same little way; else the end beside it takes the direction of the axis. Never a straight's end.
/// Returns whether the draft changed.
bool try_flatten(const EditContext& c, DraftLoop* d, std::size_t node);

}  // namespace batten
