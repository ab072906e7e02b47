#pragma once
// Stage loops, shaded shapes: patches -> rough loops along the edge of the ink.

#include "shapes/find_patches.h"
#include "shapes/rough_loops.h"

namespace batten {

/// Loops of one filled patch. Specks and holes smaller than the grain can make (150 px^2 soft, 12 px^2 crisp) are left
/// out: graphite has grain and hatching has gaps.
std::vector<RoughLoop> trace_fills(const Ink& ink, const Patches& patches, int patch);

}  // namespace batten
