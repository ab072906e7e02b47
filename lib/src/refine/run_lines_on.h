#pragma once
// Stage: strokes that run on through a junction keep their direction there.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Where one stroke runs on from one open line to another (SpacedLoops::runs_on), both take one direction at the
/// junction: that of a straight or of an axis if one of them has it, else the mean, by length. The segments that end
/// there are fitted anew with it. Left as it was where the two differ by more than what a hand may miss, or where a
/// segment would lie farther off than its limit and than before.
Draft run_lines_on(const SpacedLoops& loops, const Draft& refined);

}  // namespace batten
