#pragma once
// Puts pinned corners among those that were found, and takes out those that are none.

#include "corners/find_corners.h"
#include "corners/space_loops.h"

namespace batten {

/// The corners of one loop with those that SpacedLoop::pins asks for accepted and certain, and without those that it
/// forbids. A pinned corner is the proposal nearest to its place; where none was made it is read off the two sides.
std::vector<Corner> pin_corners(const SpacedLoop& loop, const std::vector<Corner>& found);

/// A corner that nothing which follows doubts, or asks for again.
Corner certain_corner(Corner c);
Corner no_corner(Corner c);
/// The corner that the sides beside an arc make where they turn most, within reach of it.
Corner corner_near(const SpacedLoop& loop, double arc);

}  // namespace batten
