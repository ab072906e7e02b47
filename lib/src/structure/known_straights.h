#pragma once
// Takes the straights of a drawn curve, which need not be looked for.

#include "structure/find_straights.h"

namespace batten {

/// The straights that `known` has, on the loop that was spaced from its points. Only those that are so already are
/// called level or vertical.
std::vector<Straight> known_straights(const SpacedLoop& loop, const KnownCurve& known);

}  // namespace batten
