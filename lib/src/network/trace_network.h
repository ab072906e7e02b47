#pragma once
// Stages of the network in their order.

#include "network/network_loops.h"
#include "shapes/find_patches.h"

namespace batten {

/// Lines, shapes, areas, solid and coloured areas of all patches that belong to the network, with what was found beside
/// patches there. Numbers of loops begin at first_loop. Errors: cancelled.
Result<NetworkLoops> trace_network(const Scan& scan, const Ink& ink, const Patches& patches,
                                   const std::vector<char>& in_network, int first_loop, const Options& options,
                                   const Progress& progress);

}  // namespace batten
