#pragma once
// Part of straightening: proposals solved together, and those undone that an outline can't bear.

#include <functional>
#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "straighten/proposal.h"

namespace batten {

struct Tried {
  Draft draft;
  std::vector<char> kept;  ///< one flag a proposal
  std::vector<Tie> ties;   ///< of the kept ones
};

/// Outlines that proposals tie together are one solve; others know nothing of each other and are shared out to threads.
/// Where an outline then lies further off than `allowed()` says, the edit most to blame is undone and what that leaves
/// tied together is solved anew. At last handles that came near an axis are put on it. edited: one flag a loop, changed
/// before and so in need of that too. after: hears, on the caller's thread, the share that is done, 0 to 1.
Tried try_proposals(const SpacedLoops& loops, const Draft& before, const std::vector<Proposal>& proposals,
                    const std::vector<char>& edited, int threads, const std::stop_token& stop,
                    const std::function<void(double)>& after);

}  // namespace batten
