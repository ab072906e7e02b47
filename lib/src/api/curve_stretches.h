#pragma once
// Cuts an outline at its corners, and puts it together again.

#include <vector>

#include "base/loops.h"

namespace batten {

/// The stretches of an outline from corner to corner as open lines; a closed one begins at its first corner.
std::vector<Outline> stretches_of(const Outline& o, const KnownCurve& known);

/// The outline that such stretches make, each of which begins where the one before ends.
Outline joined(const Outline& was, const std::vector<Outline>& stretches);

}  // namespace batten
