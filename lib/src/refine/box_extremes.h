#pragma once
// Leaf: extremes that have no node yet. One edit, tried on a copy and kept only if what is round it holds.

#include "refine/edit_draft.h"

namespace batten {

/// A cubic that leaves the box of its ends has an extreme without a node. In this order, until one holds: a node at the
/// extreme where it is deep and far from both ends; the nearer end turned onto the axis, or moved where it is the node
/// of that extreme; where that end is the end of a straight, the straight ends at the extreme as a curve (if it fits as
/// well as the straight did), or ends earlier and leaves room for a node; the farther end turned; a node after all.
/// Returns whether the draft changed.
bool enforce_extremum(const EditContext& c, DraftLoop* d, std::size_t segment);

}  // namespace batten
