#pragma once
// Places paths of the network to a part of a pixel, and their ends where the ink ends.

#include "network/line_paths.h"

namespace batten {

/// Each path moves across itself to the middle of its ink, as bands do, and where it is long and drawn in many strokes
/// it follows them (locate/follow_strokes.h). Near junctions, where other ink counts in, it is carried on from either
/// side: straight on to a corner, or in one curve where the stroke runs on; never out of its ink. Free ends are moved
/// to where the ink ends. `ink` is the scan's, not reduced.
void locate_lines(const Ink& ink, const std::stop_token& stop, int threads, LinePaths* paths);

}  // namespace batten
