#pragma once
// Turns located loops, their corners and guides, so that a sheet laid askew stands straight.

#include "batten/geometry.h"
#include "corners/find_corners.h"
#include "corners/space_loops.h"

namespace batten {

struct TurnedSheet {
  SpacedLoops loops;
  Corners corners;
  std::vector<Guide> guides;
};

/// Turns everything by deg, positive clockwise on screen, about the middle of the box round all loops. Guides that
/// would be vertical are left out.
TurnedSheet turn_sheet(const SpacedLoops& loops, const Corners& corners, const std::vector<Guide>& guides, double deg);

}  // namespace batten
