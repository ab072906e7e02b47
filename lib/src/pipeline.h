#pragma once
// The order of the curve stages: loops -> Conversion.

#include "batten/convert.h"
#include "loops.h"

namespace batten {

/// `begin`: share of the whole job that is done already.
Result<Conversion> fit_loops(const Loops& loops, const Options& options, const Job& job, double begin);

}  // namespace batten
