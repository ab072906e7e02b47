#pragma once
// Finds the loops, and the places on them, that pins are about.

#include <stop_token>

#include "corners/find_corners.h"
#include "corners/space_loops.h"
#include "structure/pin_reach.h"

namespace batten {

/// What became of the pins: the loops with what is demanded of them, and where each place of each pin lies.
struct AttachedPins {
  std::vector<LoopPins> of_loop;
  std::vector<std::vector<PinTarget>> targets;    ///< of each pin; none of those about the scan
  std::vector<std::vector<std::size_t>> against;  ///< of each pin: those that contradict it
};

/// Of two pins that contradict one another the later counts. Asked to stop, it leaves off soon.
AttachedPins attach_pins(const SpacedLoops& loops, const Corners& corners, const std::vector<Pin>& pins,
                         const std::stop_token& stop = {});

}  // namespace batten
