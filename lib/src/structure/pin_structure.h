#pragma once
// Puts what pins demand into what was found, loop by loop.

#include "structure/attach_pins.h"
#include "structure/find_straights.h"

namespace batten {

struct PinnedStructure {
  SpacedLoops loops;
  Corners corners;
  Straights straights;
  AttachedPins attached;
};

/// Loops that no pin is about stay as they are. Error: cancelled.
Result<PinnedStructure> pin_structure(const SpacedLoops& loops, const Corners& corners, const Straights& straights,
                                      const std::vector<Pin>& pins, Progress& progress);

/// Loops that mostly lie in the polygon of a pin about the tolerance are held to it, a later pin before an earlier one.
SpacedLoops with_pinned_tolerances(const SpacedLoops& loops, const std::vector<Pin>& pins);

}  // namespace batten
