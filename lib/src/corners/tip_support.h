#pragma once
// Finds how far out the ink (or, in a notch, the paper) of a filled shape carries a tip.

#include "base/arc_loop.h"
#include "base/plane.h"

namespace batten {

struct FillInk {
  double level = 0;         ///< typical ink just inside the edge, over bare paper
  bool inside_left = true;  ///< on which side of the travel it is
};
/// Measured 3 px to either side of a filled loop; `ink` in grid coordinates.
FillInk fill_ink(const ArcLoop& loop, const Plane<float>& ink);

/// The farthest place between `on_loop` and `apex` to which the ink of a wedge of that turn extends: where it has faded
/// to a fifth, and a little beyond, for the last bit of a wedge is thinner than the blur of any scan. `apex` itself
/// where the ink goes as far. `convex`: a tip of ink; else a notch of paper.
Point supported_tip(const Plane<float>& ink, const FillInk& fill, Point apex, Point on_loop, double turn_deg,
                    bool convex);

}  // namespace batten
