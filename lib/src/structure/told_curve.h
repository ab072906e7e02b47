#pragma once
// The corners and straights of a loop along which somebody drew a path already: the path says which there are, the loop
// where they are.

#include "base/loops.h"
#include "structure/find_straights.h"

namespace batten {

/// Is what the path tells of corners to be seen on the loop, but for a quarter? If not the path is too rough to tell.
bool can_tell(const SpacedLoop& loop, const KnownCurve& told, const std::vector<Corner>& found);

/// The corners that the path tells (Loop::told), each where the loop has one that turns alike nearby, otherwise where
/// the sides beside it meet. One that hardly turns has to be seen on the loop as well: a path that lies a little off
/// turns by as much anywhere. Others that were found are none: the path runs on there, unless it turns as
/// sharply as a pencil line can show.
std::vector<Corner> told_corners(const SpacedLoop& loop, const KnownCurve& told, const std::vector<Corner>& found);

/// The straights that were found, and those that only the path tells, unless the loop bends too far for them.
std::vector<Straight> told_straights(const SpacedLoop& loop, const KnownCurve& told, const std::vector<Corner>& corners,
                                     const std::vector<Straight>& found);

}  // namespace batten
