#pragma once
// Solves proposed edits of the whole draft together, and undoes those that an outline can't bear.

#include <functional>
#include <stop_token>
#include <utility>
#include <vector>

#include "batten/convert.h"
#include "refine/solve_joint.h"

namespace batten {

/// A node of a draft.
struct NodePlace {
  std::size_t loop = 0, node = 0;
};

/// Equations between scalars of the draft, and the nodes that they concern: kept or undone as a whole.
struct Proposal {
  Edit::Kind kind = Edit::Kind::line;
  std::vector<Tie> ties;         ///< over the draft's ScalarIndex
  std::vector<NodePlace> nodes;  ///< in the order that Edit::Kind tells
  /// Symmetry: each node and its mirror image (a node on the axis is its own).
  std::vector<std::pair<NodePlace, NodePlace>> mirrored;
};

struct TriedProposals {
  Draft draft;
  std::vector<char> kept;  ///< one flag a proposal
};

/// Outlines that proposals tie together are one solve; others know nothing of each other and are shared out to threads.
/// Where an outline then lies farther off than allowed_after() says, the edit most to blame is undone and what that
/// leaves tied together is solved anew. At last handles that came near an axis are put on it. edited: one flag a loop,
/// changed before and so in need of that too. after: hears, on the caller's thread, the share that is done, 0 to 1.
TriedProposals try_proposals(const SpacedLoops& loops, const Draft& before, const std::vector<Proposal>& proposals,
                             const std::vector<char>& edited, int threads, const std::stop_token& stop,
                             const std::function<void(double)>& after);

}  // namespace batten
