#pragma once
// Looks up in the drawing what became of each pin.

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "structure/attach_pins.h"

namespace batten {

/// What the pins were put into; `attached` and `draft` may be empty where no pin is about outlines.
struct PinnedLoops {
  const SpacedLoops& loops;
  const AttachedPins& attached;
  const Draft& draft;  ///< as it was made into the drawing
  double grid_px = 0;  ///< to which coordinates were rounded
};

/// Fills Report::pins, and adds a finding for each pin that is not held, or held at the cost of the tolerance, and for
/// each two that contradict one another.
void check_pins(const PinnedLoops& pinned, const std::vector<Pin>& pins, Conversion* out);

}  // namespace batten
