#pragma once
// Leaf of refine_curves: an outline that crosses itself, mended.

#include "refine/edit_draft.h"

namespace batten {

/// Pairs of segments that cross (first < second), or one segment twice where it loops.
struct Crossing {
  std::size_t first = 0, second = 0;
};
std::vector<Crossing> crossings_of(const DraftLoop& d);

/// Tries plainer handles, straights and the removal of nodes at each crossing; keeps what leaves fewer crossings at no
/// more than twice the limit. Returns whether the draft changed.
bool untangle(const EditContext& c, DraftLoop* d);

}  // namespace batten
