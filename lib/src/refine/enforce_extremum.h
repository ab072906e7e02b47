#pragma once
// Gives an extreme that has no node one.

#include "refine/edit_draft.h"

namespace batten {

/// A cubic that leaves the box of its ends has an extreme without a node. Tried on copies, in this order, until one
/// holds: a node at the extreme where it is deep and far from both ends; the nearer end turned onto the axis; where
/// that end is the end of a straight, the straight ends at the extreme as a curve (if it fits as well as the straight
/// did), or ends earlier and leaves room for a node; the farther end turned; a node after all. An edit holds where the
/// segments round it keep the limit (or what they kept before), the outline turns back at the node, and the excess
/// falls to 0.7 of what it was. Returns whether the draft changed.
bool enforce_extremum(const EditContext& c, DraftLoop* d, std::size_t segment);

}  // namespace batten
