#pragma once
// Takes small loops out of a closed outline that crosses itself.

#include "batten/geometry.h"

namespace batten {

/// Where the lines round an area pass one another by a few px at a junction, the area's outline makes a small loop:
/// what lies between the two passes of a crossing, if it is at most `longest_px` long, is cut off, and a corner
/// remains. The outline comes back as it was where nothing so small crosses.
Outline without_small_loops(const Outline& outline, double longest_px);

}  // namespace batten
