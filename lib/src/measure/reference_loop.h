#pragma once
// What an outline is measured against.

#include <vector>

#include "batten/geometry.h"
#include "corners/space_loops.h"

namespace batten {

/// The loop as the outline is judged against: near each corner node the located points, which lie off the corner by
/// design, are replaced by the two arms, run on to beside the node: a node off its arms shows as such. A node farther
/// off the loop than rounding explains (corner_reach_px) is not excused. replaced_px: how much length was replaced.
struct Reference {
  std::vector<Point> points;
  double replaced_px = 0;
};
Reference reference_loop(const SpacedLoop& loop, const Outline& outline);

}  // namespace batten
