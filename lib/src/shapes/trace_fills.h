#pragma once
// Stage: filled patches -> rough loops along the edge of the ink.

#include "shapes/find_patches.h"
#include "shapes/rough_loops.h"

namespace batten {

/// Loops of one filled patch. Specks and holes smaller than least_fill_px2 are left out.
std::vector<RoughLoop> trace_fills(const Ink& ink, const Patches& patches, int patch);

}  // namespace batten
