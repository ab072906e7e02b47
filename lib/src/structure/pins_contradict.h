#pragma once
// Finds pins that ask for what cannot be had together.

#include "corners/space_loops.h"
#include "structure/pin_reach.h"

namespace batten {

/// Of each pin the others that contradict it: about the same place of one loop, or about regions that overlap.
std::vector<std::vector<std::size_t>> contradictions(const SpacedLoops& loops, const std::vector<Pin>& pins,
                                                     const std::vector<std::vector<PinTarget>>& targets);

}  // namespace batten
