#pragma once
// Which cycles of a network were drawn as shapes.

#include <stop_token>

#include "network/faces.h"
#include "network/strokes.h"

namespace batten {

struct NetShape {
  Cycle border;
  double area_px2 = 0;    ///< >= 0
  int leaves_stroke = 0;  ///< junctions at which the border turns off a stroke that runs on
  double solidity = 0;    ///< area over that of the convex hull
};

/// A shape is a cycle that stays on its strokes: where a border turns off a stroke that runs on (the stem's side of a
/// T) it is background (Nitzberg & Mumford, "The 2.1-D sketch", 1990). Candidates are faces, walks that run straight on
/// wherever the stroke does, and unions of neighbouring faces while they get more convex, each also of what is left
/// once lines from shape to shape are taken away. Of those that share most of their box the best stays. width_px: of a
/// single stroke. Asked to stop it returns soon, and what it returns is to be thrown away.
std::vector<NetShape> choose_shapes(const LineNetwork& net, const Faces& faces, double width_px,
                                    const std::stop_token& stop = {});

}  // namespace batten
