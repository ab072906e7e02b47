#pragma once
// Part of straightening: straights on one level or vertical line that were told apart by a waver between them.

#include <vector>

#include "straighten/put_straight.h"

namespace batten {

/// Straights on the same axis, one after the other, with nothing or one curve no longer than they are between them,
/// become one straight where that holds: nodes on a straight are needless (common practice, no source). Appends to
/// *edits.
void join_straights(const StraightenContext& context, DraftLoop* d, std::vector<AxisStraight>* edits);

}  // namespace batten
