#pragma once
// Puts pinned straights among those that were found.

#include "structure/find_straights.h"

namespace batten {

/// The straights of one loop, with those that SpacedLoop::pins asks for in place of what overlaps them. A pinned one
/// takes in a straight that was found on the same line, and runs on to a corner that lies beside its end. Where no node
/// may be, or no corner, straights that end there are cut back.
std::vector<Straight> pin_straights(const SpacedLoop& loop, const std::vector<Corner>& corners,
                                    const std::vector<Straight>& found);

}  // namespace batten
