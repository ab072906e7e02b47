#pragma once
// Stage: line mask -> network of lines, the shapes and the open strokes in it.

#include "network/choose_shapes.h"
#include "network/line_mask.h"

namespace batten {

struct Network {
  LineNetwork lines;  ///< grid coordinates of the mask
  Faces faces;
  Strokes strokes;
  std::vector<NetShape> shapes;
  int gaps_closed = 0;
};

/// Errors: cancelled.
Result<Network> find_network(const LineMask& mask, const Progress& progress);

}  // namespace batten
