#pragma once
// Tells whether the direction along a loop turns in one step, in two, or gradually.

#include "base/arc_loop.h"

namespace batten {

/// Mean square angle (rad^2) left by three descriptions of the direction round an arc; each has a level and a slow bend
/// besides.
struct TurnSteps {
  double one = 0;   ///< one step as narrow as the steps of true corners (0.3 bands)
  double free = 0;  ///< one step of the best width; never above `one`
  double two = 0;   ///< two narrow steps, at least 0.4 bands apart; never above `one`
};

/// Looks at arcs [arc - back_px, arc + ahead_px] of the loop.
TurnSteps turn_steps(const ArcLoop& loop, double arc, double back_px, double ahead_px, double band_px);

}  // namespace batten
