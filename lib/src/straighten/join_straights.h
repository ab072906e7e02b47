#pragma once
// Makes one straight of those that lie on one level or vertical line and were told apart by a waver between them.

#include "straighten/put_straight.h"

namespace batten {

/// Straights on the same axis, one after the other, with nothing or one curve no longer than they are between them,
/// become one straight where that holds: nodes on a straight are needless (common practice, no source).
void join_straights(const StraightenContext& context, LoopStraightening* work);

}  // namespace batten
