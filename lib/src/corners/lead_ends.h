#pragma once
// Stage: located lines are led on to where they were said to end.

#include "base/loops.h"

namespace batten {

/// Is there an open line whose end lies beside the curve or the junction that it was said to end at?
bool has_loose_ends(const Loops& loops);

/// The same loops, ends of one junction at one place and ends on a curve on its points. Locating ends a line where its
/// band runs into another, a band width or two short of where their middles meet: the line goes on straight to there,
/// or is cut back where it had run past. An end farther off than bands explain stays as it was located, and belongs
/// there no longer, unless it is the border of an area.
Loops lead_ends(const Loops& located);

}  // namespace batten
