#pragma once
// The curve stages in their order, for loops wherever they come from.

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

enum class LoopsFrom { scan, caller };

/// Makes a drawing of located loops, closed outlines first. `begin`: share of the whole job that was done before.
/// Width, height and dpi of the drawing are left to the caller. Lines of the caller's have an outline each; of a scan,
/// what crosses itself and slivers are left out. unpinned: the loops as they would be without pins about the scan, if
/// there are such: those that are the same keep the outlines that they would have. Error: cancelled.
Result<Conversion> fit_loops(const Loops& located, LoopsFrom from, const Options& options, const Job& job, double begin,
                             const Loops* unpinned = nullptr);

}  // namespace batten
