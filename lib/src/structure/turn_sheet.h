#pragma once
// Part of structure: located loops and their corners turned, so that a sheet laid askew stands vertical.

#include "batten/geometry.h"
#include "corners/find_corners.h"
#include "corners/space_loops.h"

namespace batten {

struct TurnedSheet {
  SpacedLoops loops;
  Corners corners;
  std::vector<Guide> guides;
};

/// Turned by deg, positive clockwise on screen, about the middle of the box round all loops.
TurnedSheet turn_sheet(const SpacedLoops& loops, const Corners& corners, const std::vector<Guide>& guides, double deg);

}  // namespace batten
