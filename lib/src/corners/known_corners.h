#pragma once
// Takes the corners of a drawn curve, which need not be looked for.

#include "corners/find_corners.h"

namespace batten {

/// The corners that `known` has, accepted, on the loop that was spaced from its points.
std::vector<Corner> known_corners(const SpacedLoop& loop, const KnownCurve& known);

}  // namespace batten
