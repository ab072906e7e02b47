#pragma once
// Makes straights of open lines that were meant to be level or vertical exactly so, all lines of a junction together.

#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "structure/sheet_axes.h"

namespace batten {

/// A straight of an open line that was put on its axis.
struct LevelledStraight {
  std::size_t loop = 0, segment = 0;
  bool vertical = false;
  double moved_px = 0;  ///< of its ends, at most
};

struct LevelledLines {
  Draft draft;
  std::vector<LevelledStraight> straights;
};

/// Straights of open lines near an axis on which the sheet's axes mean straights to lie take it, unless they lean on
/// purpose. Ends of a junction stay together, so that a line of several pieces becomes level as a whole or not at all;
/// a straight stays as it is where its line, or one that ends with it, would lie farther off than it may or did.
LevelledLines level_lines(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                          const std::stop_token& stop);

}  // namespace batten
