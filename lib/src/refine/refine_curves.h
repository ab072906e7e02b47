#pragma once
// Stage: every outline as a whole. joint solve, repair, deletion of nodes, to a fixed point; every edit is judged both
// ways against its own stretch of loop and undone when it made things worse.

#include "batten/convert.h"
#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

Result<Draft> refine_curves(const SpacedLoops& loops, const Draft& draft, const Options& options, Progress& progress);

}  // namespace batten
