#pragma once
// Stage: rough loops -> located loops with their uncertainty, in page coordinates and turned the right way round.

#include "base/loops.h"
#include "shapes/find_patches.h"
#include "shapes/rough_loops.h"

namespace batten {

/// Outer loops run clockwise on screen, counters the other way, by nesting over the whole sheet. Errors: cancelled.
Result<std::vector<Loop>> locate_loops(const Ink& ink, const Patches& patches, const std::vector<RoughLoop>& rough,
                                       const Progress& progress, int threads = 1);

}  // namespace batten
