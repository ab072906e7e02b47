#pragma once
// Stage loops, outlined shapes: patches -> rough loops along the middle of the band. Topology first: the border between
// two cells of paper is a closed loop by construction, whatever the number of strokes.

#include <stop_token>

#include "find_patches.h"
#include "rough_loops.h"

namespace batten {

/// Loops of one outlined patch; none if its lines enclose nothing. Cut short (and to be thrown away) when asked to
/// stop.
std::vector<RoughLoop> trace_cells(const Ink& ink, const Patches& patches, int patch, const std::stop_token& stop);

}  // namespace batten
