#pragma once
// The curve stages in their order, for loops wherever they come from.

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

/// begin: the share of the whole job that was done before. The drawing has closed outlines first. Error: cancelled.
Result<Conversion> fit_loops(const Loops& located, const Options& options, const Job& job, double begin);

}  // namespace batten
