#pragma once
// The curve stages in their order: what all entry points run.

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

/// Makes a drawing of located loops. `begin`: share of the whole job that was done before. Width, height and dpi of the
/// drawing are left to the caller.
Result<Conversion> fit_loops(const Loops& located, const Options& options, const Job& job, double begin);

}  // namespace batten
