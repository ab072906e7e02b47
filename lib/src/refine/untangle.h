#pragma once
// Mends an outline that crosses itself.

#include "refine/edit_draft.h"

namespace batten {

/// Pairs of segments that cross (first < second), or one segment twice where it loops; not the way back of an open
/// line.
struct Crossing {
  std::size_t first = 0, second = 0;
};
std::vector<Crossing> crossings_of(const DraftLoop& d);

/// Crossings that an open line has itself are no faults. Tries plainer handles, nodes beside a tip, straights and the
/// removal of nodes at each crossing. Kept is what leaves fewer crossings and no segment farther off than 2.5 times the
/// limit, or 1.3 times the largest distance before where that is more. Returns whether the draft changed.
bool untangle(const EditContext& c, DraftLoop* d);

}  // namespace batten
