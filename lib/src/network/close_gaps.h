#pragma once
// Joins lines that the pencil left open by a little.

#include "network/line_network.h"

namespace batten {

/// Joins ends that face each other, ends that meet in a corner when both run on, and ends that stop short of a line.
/// Lengths and directions are those of strokes followed through junctions. New edges are marked as made. Returns how
/// many there are. width_px: of a line.
int close_gaps(double width_px, LineNetwork* net);

}  // namespace batten
