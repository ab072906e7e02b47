#pragma once
// Stage: finds the runs of every loop that were meant to be straight.

#include "corners/find_corners.h"
#include "corners/space_loops.h"

namespace batten {

struct Straight {
  double from = 0, to = 0;  ///< arcs on the spaced loop, to > from (to may exceed the loop's length)
  Point a, b;               ///< the line's ends: arcs `from` and `to` projected on it
  bool level = false;       ///< meant to be level: leans no more than its points can err
  bool vertical = false;    ///< the same for vertical
  int pin = -1;             ///< of LoopPins::straights; -1: it was found
  double length_px() const { return to - from; }
};

struct Straights {
  std::vector<std::vector<Straight>> of_loop;  ///< in order of arc, not overlapping
};

/// A run is grown from many places, at a few tolerances from the loop's own noise, until its points leave its line. It
/// is a straight where it hardly gains length when the tolerance is 2.5 times as wide: an arc gains more than half.
/// Runs shorter than 9 px, or 8 px and 1.2 widths of the pencil line, are not told from arcs. No straight runs through
/// an accepted corner; where two overlap the longer one stays. Level and vertical ones are put on their axis. Error:
/// cancelled.
Result<Straights> find_straights(const SpacedLoops& loops, const Corners& corners, Progress& progress);

}  // namespace batten
