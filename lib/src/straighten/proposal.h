#pragma once
// Part of straightening: an edit that is proposed, as ties between scalars of the draft.

#include <utility>
#include <vector>

#include "batten/convert.h"
#include "straighten/solve_tied.h"

namespace batten {

struct NodePlace {
  std::size_t loop = 0, node = 0;
};

struct Proposal {
  Edit::Kind kind = Edit::Kind::line;
  std::vector<Tie> ties;
  std::vector<NodePlace> nodes;
  /// Symmetry: each node and its mirror image (a node on the axis is its own).
  std::vector<std::pair<NodePlace, NodePlace>> mirrored;
};

}  // namespace batten
