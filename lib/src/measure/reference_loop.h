#pragma once
// The loop that an outline is measured against.

#include <vector>

#include "batten/convert.h"
#include "corners/space_loops.h"

namespace batten {

/// Near each corner node the located points, which lie off the corner by design, are replaced by the two arms,
/// continued to beside the node: a node off its arms shows as such. Where bands run together the sides are hidden: with
/// leave_out_hidden a node that is no farther off its arms than that explains is not measured, and the outline itself
/// stands for the line. At a node farther off the loop than rounding explains (farthest_apex_px) nothing is replaced,
/// and on a line of a network nothing where the outline follows the line more nearly than its arms.
struct Reference {
  std::vector<Point> points;         ///< closed, or open like the loop
  double replaced_px = 0;            ///< length of loop that was replaced
  double hidden_px = 0;              ///< length of outline that stands for the line: it is no measurement
  std::vector<HiddenCorner> hidden;  ///< in order of nodes; none on exact loops
};
Reference reference_loop(const SpacedLoop& loop, const Outline& outline, bool leave_out_hidden = false);

/// Does a line that was given as a polyline cross itself? Lines that were located in ink do not.
bool crosses_itself(const SpacedLoop& loop);

}  // namespace batten
