#pragma once
// Finds nodes without which an outline stays what it is.

#include <vector>

#include "batten/geometry.h"

namespace batten {

struct NeedlessNode {
  std::size_t node = 0;
  double change_px = 0;  ///< how far the outline moves when this node goes, and those before it in the list
};

/// Smooth nodes that are no extremes and no ends of straights, taken away one by one, the least change first, as long
/// as one cubic with the directions of its ends stays within `most_px` of the outline as it was.
std::vector<NeedlessNode> needless_nodes(const Outline& outline, double most_px);

}  // namespace batten
