#pragma once
// Stage: ends of open lines come to lie exactly where the located ends were said to.

#include "batten/convert.h"
#include "corners/space_loops.h"

namespace batten {

/// `drawing` has an outline for each loop. Ends of one junction get the very same place; ends on another line or on an
/// outline get the place where their line meets that curve, or the nearest one. Handles move along with their end. With
/// a grid, ends on a curve stay on whole multiples of it, which come first. An end farther from its curve than
/// locating explains stays where it is.
void land_ends(const SpacedLoops& loops, double grid_px, Drawing* drawing);

}  // namespace batten
