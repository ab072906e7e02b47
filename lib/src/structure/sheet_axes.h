#pragma once
// Finds how the sheet lay on the glass, and which axes each letter was meant to keep to.

#include "batten/geometry.h"
#include "corners/space_loops.h"
#include "structure/find_straights.h"

namespace batten {

/// Which axes a letter keeps to.
struct AxisIntent {
  bool level = true, vertical = true;
};

struct SheetAxes {
  bool turn_known = false;
  double turn_deg = 0;              ///< of the sheet, positive clockwise on screen; at most largest_turn_deg
  double turn_sd_deg = 0;           ///< one standard deviation
  std::vector<AxisIntent> of_loop;  ///< outlines of one letter agree
};

/// A sheet laid on the glass by eye is askew by less (common practice, no source).
inline constexpr double largest_turn_deg = 6;

/// The turn of the sheet is read off ruled guides where there are any, else off three or more straights: level and
/// vertical ones where they agree, level ones alone where the letters are slanted. A letter keeps to the scan's axes if
/// the straights that do so are at least half as long as those that lean one way by more than their points can err.
SheetAxes find_sheet_axes(const SpacedLoops& loops, const Straights& straights, const std::vector<Guide>& guides);

}  // namespace batten
