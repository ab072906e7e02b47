#pragma once
// Thin faces between two strokes of one line go.

#include "base/plane.h"
#include "network/line_network.h"

namespace batten {

/// A face that is thin against the line's width and long against its own is the gap between two strokes that were meant
/// as one: the fainter of the two goes. ink: as LineMask::ink.
void drop_lenses(const Plane<float>& ink, double width_px, LineNetwork* net);

}  // namespace batten
