#pragma once
// Solves all nodes, directions and handles of outlines, or of parts of them, together: that is what "joint" means here.

#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "fit/linear_ties.h"

namespace batten {

struct SolveOptions {
  int rounds = 3;        ///< arcs, caps and bounds are renewed between rounds
  double power = 2;      ///< even; 2: robust least squares; 4, 8, 16: nearer to the smallest largest offset
  int iterations = 8;    ///< at most so many steps in a round
  bool minimax = false;  ///< the smallest largest offset itself (minimax_round) instead of a sum of powers
};

/// Handles are capped by the geometry of the moment: many rounds of few steps get farther than few of many (than 3 of
/// 12: with nodes anywhere 0.3 % fewer segments at 1 px and 0.2 % at 2 px).
inline constexpr SolveOptions minimax_solve{.rounds = 9, .iterations = 4, .minimax = true};

/// Moves the nodes marked in `freed` (one flag a node; empty: all), their directions and the handles of all segments
/// touching them. Straights marked level or vertical share one coordinate as one parameter block, which moves only if
/// both ends are freed. Returns false if the solver met something it can't use (the draft is then left as it was).
bool solve_joint(const SpacedLoop& loop, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options,
                 const std::stop_token& stop);

/// For each loop one flag a node: is it to move? No flags: the loop stays as it is.
using FreedNodes = std::vector<std::vector<char>>;
FreedNodes all_nodes(const Draft& draft);

/// Solves several outlines at once: the freed nodes and the coordinates that ties or straights on an axis bind to
/// theirs, their directions and the handles of all segments touching them. A tied group is one set of parameter blocks,
/// so that the ties hold exactly. ties: over the draft's ScalarIndex. power: one for each loop, as in SolveOptions.
/// Returns false, the draft as it was, if the solver met something it can't use.
bool solve_tied(const SpacedLoops& loops, const std::vector<Tie>& ties, const FreedNodes& freed,
                const std::vector<double>& power, const std::stop_token& stop, Draft* draft);

/// Renew the arc of each node marked in `moved` (one flag a node; empty: all) from its place; keeps their order round
/// the loop.
void renew_arcs(const SpacedLoop& loop, DraftLoop* d, const std::vector<char>& moved);

}  // namespace batten
