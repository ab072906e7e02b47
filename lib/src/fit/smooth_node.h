#pragma once
// A smooth node put on a loop.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Place and direction at an arc by least squares over the loop nearby.
DraftNode smooth_node(const SpacedLoop& loop, double arc, Reason reason);

}  // namespace batten
