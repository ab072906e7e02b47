#pragma once
// Areas laid down in colour, with crayon, watercolour or marker.

#include <stop_token>

#include "base/loops.h"
#include "network/line_mask.h"

namespace batten {

struct ColouredAreas {
  /// Edges of the areas that no line is drawn round: outer loops and holes, in page coordinates.
  std::vector<Loop> loops;
  /// By pixel of the mask, 0 outside all areas: how coloured it is and how dark, against its own area.
  Plane<float> tint, darkness;
  bool empty() const { return tint.empty(); }
};

/// Where a scan is farther from grey than its paper, in areas wider than three line widths and 8 W x 8 W large. The
/// edge lies where the colour is half of the area's own, smoothed over half a line width. A border of which half runs
/// along lines or dark areas belongs to a shape that was drawn and coloured in; what touches the edge of the picture is
/// no drawing. When asked to stop it returns soon, and what it returns is to be thrown away.
ColouredAreas coloured_areas(const Scan& scan, const Ink& ink, const LineMask& mask, const std::stop_token& stop);

}  // namespace batten
