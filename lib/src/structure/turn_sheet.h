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
  Point middle;  ///< about which it was turned
};

/// Turns everything by deg, positive clockwise on screen, about the middle of the box round all loops. Guides that
/// would be vertical are left out.
TurnedSheet turn_sheet(const SpacedLoops& loops, const Corners& corners, const std::vector<Guide>& guides, double deg);

/// Places of pins turned in the same way.
std::vector<Pin> turn_pins(const std::vector<Pin>& pins, Point middle, double deg);

}  // namespace batten
