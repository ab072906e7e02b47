#pragma once
// Part of regularise: pieces that were meant to be level or upright become straights that are exactly so.

#include <vector>

#include "put_straight.h"

namespace batten {

/// Edits are tried one by one, the longest first; one is undone where the pieces round it no longer hold
/// stem_allowance_px, where the rest of the outline would lie worse (rest_holds), or where `holds` says no.
std::vector<Straightened> straighten_loop(const StraightenContext& context, DraftLoop* d);

}  // namespace batten
