#pragma once
// How near to a place a pin counts, and where its places lie on the loops.

#include "corners/space_loops.h"

namespace batten {

/// Where one place of a pin lies.
struct PinTarget {
  int loop = -1;        ///< -1: nothing was drawn near it
  int node = -1;        ///< of LoopPins::nodes; -1: it asks for none
  double arc = 0;       ///< on the loop
  double off_px = 1e9;  ///< from the place to the nearest loop
};

/// A place farther from all loops is about none of them: 2 mm at 300 dpi, or 2.5 widths of the line.
double pin_reach_px(const SpacedLoop& loop);
/// How far along its loop a decision about a corner reaches: nobody points more exactly.
double corner_reach_px(const SpacedLoop& loop);
/// Half of the stretch that a pin keeps free of nodes.
double bare_px(const SpacedLoop& loop, const Pin& pin);
/// Times the limit: a straight that would lie farther off its loop is not drawn, whatever a pin says.
inline constexpr double most_bent_limits = 3;
/// How far off its loop a pinned node may stand: the limit, for a corner as far as locating rounds one.
double node_reach_px(const SpacedLoop& loop, const Pin& pin);

}  // namespace batten
