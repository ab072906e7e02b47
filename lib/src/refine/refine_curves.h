#pragma once
// Stage: refines every outline as a whole and takes away the nodes that are not needed.

#include "batten/convert.h"
#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Solves all nodes of an outline together, repairs what is over the limit, and deletes nodes, over and over until
/// nothing changes or the effort is spent (DraftLoop::cut_short). Edits are tried on a copy and kept only where the
/// segments round them hold. Three are not judged: a corner that hardly turns becomes smooth, a direction nearly on an
/// axis is put on it, and the last solves; what they take over the limit is repaired at the end. Corners keep their
/// place but for a little trimming. The result is the same for any number of threads. Error: cancelled.
Result<Draft> refine_curves(const SpacedLoops& loops, const Draft& draft, const Options& options, Progress& progress);

}  // namespace batten
