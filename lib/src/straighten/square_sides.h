#pragma once
// Part of straightening: curves that hide no curve, and sides that leave a corner squarely and run on into a round.

#include <vector>

#include "straighten/put_straight.h"

namespace batten {

/// A curve that sets out and arrives along one axis, its ends no further off one line than two points can err: a
/// straight. An arc would have to turn back within the noise. No node more.
bool straighten_flat(const StraightenContext& context, std::size_t segment, bool vertical, DraftLoop* d,
                     std::vector<AxisStraight>* edits);

/// A short curve between the square end of a stroke (the ink lies inside the corner) and a node that lies on its axis
/// already is a straight that runs on into a round: the node, an extreme so far, becomes its end and slides along it to
/// where the round begins. No node more. Not inside a crotch, where a round begins at the corner as often.
bool straighten_side(const StraightenContext& context, std::size_t segment, bool vertical, DraftLoop* d,
                     std::vector<AxisStraight>* edits);

/// A side that leaves a corner squarely to a straight on the other axis, and bends later: a straight, with a node more
/// where it ends, if it keeps closer to its line than an arc from the corner would and the whole lies no worse.
bool square_off(const StraightenContext& context, std::size_t corner, bool leaving, DraftLoop* d,
                std::vector<AxisStraight>* edits);

}  // namespace batten
