#pragma once
// Makes pinned nodes share a coordinate, and pinned distances equal.

#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "structure/attach_pins.h"

namespace batten {

/// The draft with the pins that speak of several places met: their nodes are moved to the middle between them, or to
/// the one that stands fast, and stay. A pin that would take an outline farther from its line than the limit and than
/// it was is left out, alone.
Draft share_places(const SpacedLoops& loops, const Draft& draft, const std::vector<Pin>& pins,
                   const AttachedPins& attached, const std::stop_token& stop);

}  // namespace batten
