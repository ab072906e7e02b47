#pragma once
// Which stretch of one closed chain belongs to which of another. Standard headers only.

#include "measure/chain.h"

namespace batten {

struct ChainMatching {
  ChainWindows on_located;  ///< for equal intervals of the outline
  ChainWindows on_outline;  ///< for equal intervals of the polyline
};

/// Cyclic dynamic time warping of a few anchors on each (every start is tried, by the bisection of Maes, "On a cyclic
/// string-to-string correction problem", Inf. Proc. Letters 35, 1990: paths of neighbouring starts do not cross).
/// Warping is monotone, so a spur can only be matched to the place where it leaves the wall.
ChainMatching match_chains(const Chain& outline, const Chain& located);

}  // namespace batten
