#pragma once
// Single edits that put a straight on its axis; each returns whether it changed the outline.

#include "straighten/put_straight.h"

namespace batten {

/// A curve that sets out and arrives along one axis, its ends no farther off one line than two points can err, is a
/// straight: an arc would have to turn back within the noise. Adds no node.
bool straighten_flat(const StraightenContext& context, std::size_t segment, bool vertical, LoopStraightening* work);

/// A short curve between the square end of a stroke (the ink lies inside the corner) and a node that lies on its axis
/// already is a straight that runs on into a round: the node, an extreme so far, becomes its end and slides along it to
/// where the round begins. Adds no node. Not inside a crotch, where a round begins at the corner as often.
bool straighten_side(const StraightenContext& context, std::size_t segment, bool vertical, LoopStraightening* work);

/// A side that leaves a corner squarely to a straight on the other axis, and bends later, becomes a straight, with one
/// node more where it ends, if it keeps closer to its line than an arc from the corner would and the whole lies no
/// worse. leaving: the side runs on from the corner, else towards it.
bool square_off(const StraightenContext& context, std::size_t corner, bool leaving, LoopStraightening* work);

/// A straight and the next one on the same axis, with nothing or one curve no longer than they are between them, become
/// one straight: nodes on a straight are needless (common practice, no source).
bool join_straight(const StraightenContext& context, std::size_t straight, LoopStraightening* work);

}  // namespace batten
