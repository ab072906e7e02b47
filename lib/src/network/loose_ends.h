#pragma once
// Where lines of a network end by themselves.

#include <vector>

#include "network/line_network.h"

namespace batten {

/// A loose end: the stroke that leads to it, read from the end backwards through junctions.
struct LooseEnd {
  int node = 0, edge = 0;
  Polyline stroke;
  double length_px = 0;
  Point at;
  Point out;      ///< unit direction in which the stroke would run on, read over three widths
  Point far_out;  ///< the same over a quarter of the stroke, 3 to 14 widths
};

/// Nodes at which nothing else ends, but those of strokes up to one and a half lines long. width_px: of a line.
std::vector<LooseEnd> loose_ends(const LineNetwork& net, double width_px);

}  // namespace batten
