#pragma once
// Lines that lead from shape to shape.

#include "network/faces.h"
#include "network/strokes.h"

namespace batten {

/// Strokes that end at one of the given borders from outside, each from there on, unless their other end lies on the
/// same border: that is a part of a frame. width_px: of a stroke.
std::vector<Cycle> find_connectors(const LineNetwork& net, const Strokes& strokes, const std::vector<Cycle>& borders,
                                   double width_px);

}  // namespace batten
