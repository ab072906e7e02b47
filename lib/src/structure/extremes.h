#pragma once
// Finds the places where a loop is leftmost, rightmost, highest or lowest.

#include <vector>

#include "corners/space_loops.h"

namespace batten {

/// An extreme of a stretch of loop.
struct Extreme {
  double arc = 0;
  Reason reason = Reason::extreme_top;
};

/// Extremes strictly inside arcs [from, to] of the loop (to may exceed the length): turning points of x and of y with
/// hysteresis_px on both sides; a flat one is placed mid-way along its flat part.
std::vector<Extreme> extremes_between(const ArcLoop& smooth, double from, double to, double hysteresis_px);

/// An extreme less deep than this is noise.
double extreme_hysteresis_px(const SpacedLoop& loop);
/// The loop on which extremes are looked for.
ArcLoop smooth_for_extremes(const SpacedLoop& loop);

}  // namespace batten
