#pragma once
// Part of regularise: an edit that is proposed, as ties between scalars of the draft.

#include <utility>
#include <vector>

#include "batten/convert.h"
#include "solve_tied.h"

namespace batten {

struct JointPlace {
  std::size_t loop = 0, joint = 0;
};

struct Proposal {
  Edit::Kind kind = Edit::Kind::line;
  std::vector<Tie> ties;
  std::vector<JointPlace> joints;
  /// Symmetry: each joint and its mirror image (a joint on the axis is its own).
  std::vector<std::pair<JointPlace, JointPlace>> mirrored;
};

}  // namespace batten
