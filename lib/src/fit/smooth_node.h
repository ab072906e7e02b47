#pragma once
// Puts a smooth node on a loop.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Half the length of loop, px, over which a direction on it is read.
double direction_window_px(const SpacedLoop& loop);
/// Place and direction at an arc by least squares over the loop nearby.
DraftNode smooth_node(const SpacedLoop& loop, double arc, Reason reason);

}  // namespace batten
