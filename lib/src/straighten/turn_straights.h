#pragma once
// Makes segments that were meant to be level or vertical exactly so.

#include "straighten/put_straight.h"

namespace batten {

/// Edits are tried one by one, the longest first; one is undone where the segments round it no longer hold
/// straight_tolerance_px, where the rest of the outline would lie worse (rest_holds), or where `holds` says no.
LoopStraightening straighten_loop(const StraightenContext& context, DraftLoop drafted);

}  // namespace batten
