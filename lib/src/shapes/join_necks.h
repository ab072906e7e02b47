#pragma once
// Joins an inside that falls into two because its own two lines fuse at a narrow place.

#include "shapes/merge_cells.h"

namespace batten {

/// Two inside cells (parity 1, W and T as for merge_cells) that do not touch are joined when a dark band links them
/// lengthwise: at most 3 W long, at least as dark as a line all along (two fused lines are darker than one), and no
/// wider than 1.7 W across its middle. Walls of two neighbouring letters are crossed, not followed: they are wide
/// across the link, and are left alone. Joined cells take one label; the link gets it as well, 0.4 W wide.
void join_necks(const HeightMap& heights, const std::vector<int>& parity, const std::stop_token& stop, CellMap* map);

}  // namespace batten
