#pragma once
// Puts an outline together of one half and its mirror image.

#include <optional>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// x of the vertical line about which the loop is its own mirror image: that through its centroid, which lies on any
/// axis of symmetry of an area. Nothing if the loop and its image miss each other by more than twice what is allowed
/// (either gives way by half), or if it does not cross the line twice.
std::optional<double> mirror_axis_x(const SpacedLoop& loop, double allowed_px);

/// The nodes on one side of the line and their mirror images in the order of travel; nodes on the line stay single.
/// Nothing if that leaves fewer than two nodes, or if a straight would have to bend on the line.
std::optional<DraftLoop> mirrored_half(const SpacedLoop& loop, const DraftLoop& d, double axis_x, bool left);

}  // namespace batten
