#pragma once
// Stage: runs of a loop that were meant to be straight.

#include "corners/find_corners.h"
#include "corners/space_loops.h"

namespace batten {

struct Straight {
  double from = 0, to = 0;  ///< arcs on the spaced loop, to > from (to may exceed the loop's length)
  Point a, b;               ///< the line's ends: arcs `from` and `to` projected on it
  bool level = false;       ///< within tolerance of horizontal
  bool vertical = false;    ///< within tolerance of vertical
  double length_px() const { return to - from; }
};

struct Straights {
  std::vector<std::vector<Straight>> of_loop;  ///< in order of arc, not overlapping
};

Result<Straights> find_straights(const SpacedLoops& loops, const Corners& corners, Progress& progress);

}  // namespace batten
