#pragma once
// Makes segments that were meant to be level or vertical exactly so.

#include "straighten/put_straight.h"

namespace batten {

/// Does a straight of that length lean by more than its points and the hand explain?
bool leans_on_purpose(const SpacedLoop& loop, double tilt_deg, double length_px);
/// What a hand may miss an axis by on a short side; a longer one is held by the tolerance.
inline constexpr double largest_tilt_deg = 5;

/// Edits are tried one by one, the longest first; one is undone where the segments round it no longer hold
/// straight_tolerance_px, where the rest of the outline would lie worse (rest_holds), or where `holds` says no.
LoopStraightening straighten_loop(const StraightenContext& context, DraftLoop drafted);

}  // namespace batten
