#pragma once
// What pins demand of one loop: places on it, counted by arc. Found once, carried along with the spaced loop.

#include <algorithm>
#include <cmath>
#include <vector>

#include "batten/pins.h"

namespace batten {

/// A node that stays.
struct PinnedNode {
  double arc = 0;
  Point at;
  bool fixed = false;  ///< it stands exactly at `at`; else where the fit wants it
  bool wanted = true;  ///< false: any node near will do, one is added only where there is none
  Pin::Turn turn = Pin::Turn::any;
  Pin::Along along = Pin::Along::any;
};

/// A stretch that is straight.
struct PinnedStretch {
  double from = 0, to = 0;  ///< to > from; it may exceed the length of a closed loop
  Pin::Along along = Pin::Along::any;
};

/// to >= from; it may exceed the length of a closed loop, as from may be negative.
struct ArcRange {
  double from = 0, to = 0;
};

struct LoopPins {
  std::vector<PinnedNode> nodes;
  std::vector<PinnedStretch> straights;
  std::vector<ArcRange> bare;    ///< no node
  std::vector<ArcRange> smooth;  ///< no corner
  int start = -1;                ///< the outline begins at this one of `nodes`; -1: nobody minds
  bool empty() const { return nodes.empty() && straights.empty() && bare.empty() && smooth.empty(); }
};

/// Does an arc of a loop of that length lie in one of the ranges?
inline bool lies_in(const std::vector<ArcRange>& ranges, double arc, double length_px) {
  return std::any_of(ranges.begin(), ranges.end(), [&](const ArcRange& r) {
    return arc - r.from - length_px * std::floor((arc - r.from) / length_px) <= r.to - r.from;
  });
}

}  // namespace batten
