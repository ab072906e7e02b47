#pragma once
// Leaf of weigh_corners: does the direction along a loop turn in one step, in two, or gradually?

#include "base/arc_loop.h"

namespace batten {

/// Mean square angle (rad^2) left by three descriptions of theta(s) over +-reach round an arc; each has a level and a
/// slow bend besides.
struct TurnSteps {
  double one = 0;                      ///< one step as narrow as the steps of true corners (0.3 bands)
  double free = 0;                     ///< one step of the best width
  double two = 0;                      ///< two narrow steps
  double first_px = 0, second_px = 0;  ///< places of the two, from the arc
  double first_turn_rad = 0, second_turn_rad = 0;
};
TurnSteps turn_steps(const ArcLoop& loop, double arc, double back_px, double ahead_px, double band_px);

}  // namespace batten
