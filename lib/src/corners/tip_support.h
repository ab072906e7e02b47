#pragma once
// Leaf of weigh_corners: how far out the ink (or, in a notch, the paper) of a filled shape carries a tip.

#include "base/arc_loop.h"
#include "base/plane.h"

namespace batten {

/// Typical ink just inside the edge of a filled loop, over bare paper; `inside_left`: on which side of the travel it
/// is.
struct FillInk {
  double level = 0;
  bool inside_left = true;
};
FillInk fill_ink(const ArcLoop& loop, const Plane<float>& ink);

/// The farthest place from `apex` back towards `on_loop` that a wedge of the given turn can reach: where its ink has
/// faded to a fifth, and a little beyond, for the last bit of a wedge is thinner than the blur of any scan.
/// `convex`: a tip of ink; else a notch of paper. `apex` itself where it is supported.
Point supported_tip(const Plane<float>& ink, const FillInk& fill, Point apex, Point on_loop, double turn_deg,
                    bool convex);

}  // namespace batten
