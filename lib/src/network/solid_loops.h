#pragma once
// Outlines of the solid areas of a network.

#include <stop_token>

#include "base/loops.h"
#include "network/line_mask.h"

namespace batten {

/// Areas that are dark all over, along the edge of their ink: outer loops and holes, in page coordinates, unless less
/// than 10 W^2 large. When asked to stop it returns soon, and what it returns is to be thrown away.
std::vector<Loop> solid_loops(const Ink& ink, const LineMask& mask, const std::stop_token& stop);

/// Do pale lines only serve solid shapes here? The ink of the solid areas is more than that of all lines, and at least
/// twice as dark: the lines are then the construction of what was filled in. filled: 1 in shapes that are no part of
/// the network, in the size of the scan; empty: there are none.
bool lines_are_construction(const Ink& ink, const LineMask& mask, const Plane<std::uint8_t>& filled);

/// Where lines are but construction, whatever is nearer to the solid areas' darkness than to theirs is solid too,
/// however thin: the tip of a letter beyond a gap. left_out: as in find_lines(); filled: as above.
LineMask with_small_solids(const Ink& ink, const Plane<std::uint8_t>& left_out, const Plane<std::uint8_t>& filled,
                           LineMask mask);

}  // namespace batten
