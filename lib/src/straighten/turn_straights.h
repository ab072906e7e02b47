#pragma once
// Part of straightening: segments that were meant to be level or vertical become straights that are exactly so.

#include <vector>

#include "straighten/put_straight.h"

namespace batten {

/// Edits are tried one by one, the longest first; one is undone where the segments round it no longer hold
/// straight_tolerance_px, where the rest of the outline would lie worse (rest_holds), or where `holds` says no.
std::vector<AxisStraight> straighten_loop(const StraightenContext& context, DraftLoop* d);

}  // namespace batten
