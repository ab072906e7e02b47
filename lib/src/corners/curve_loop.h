#pragma once
// Makes loops of outlines that somebody drew: exact curves, or the short straights that curves were cut into.

#include "base/loops.h"

namespace batten {

/// The outline as a dense polyline from its first node on, with its corners and straights, where limit_px is how far
/// its refit may lie off. A corner is where the direction jumps; where a curve was cut into straights, it is where it
/// jumps by more than their bend explains, or where a smooth curve would leave the limit. A closed outline whose first
/// node has Reason::line_end is a line that ends where it began: that node is a corner. Outlines that waver from node
/// to node are samples of something, and their corners are left to be found (Loop::known is empty). Empty if the
/// outline has no length.
std::optional<Loop> loop_of_curve(const Outline& outline, double limit_px);

}  // namespace batten
