#pragma once
// Solves several outlines at once, their scalars held together by ties.

#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "fit/linear_ties.h"
#include "refine/joint_terms.h"

namespace batten {

/// Numbers all scalars of a draft, for ties between them.
class ScalarIndex {
 public:
  explicit ScalarIndex(const Draft& draft);
  std::size_t of(std::size_t loop, Quantity q, std::size_t i) const {
    return first_[loop] + i * quantity_count + std::size_t(q);
  }
  static Quantity quantity_of(std::size_t scalar) { return Quantity(scalar % quantity_count); }
  std::size_t count() const { return first_.back(); }

 private:
  std::vector<std::size_t> first_;
};

/// Both ends of level and vertical straights share a coordinate.
std::vector<Tie> ties_of_straights(const Draft& draft, const ScalarIndex& index);

/// For each loop one flag a node: is it to move? No flags: the loop stays as it is.
using FreedNodes = std::vector<std::vector<char>>;
FreedNodes all_nodes(const Draft& draft);

/// Least squares over the freed nodes and the coordinates that ties or straights on an axis bind to theirs, their
/// directions and the handles of all segments touching them: a tied group is one set of parameter blocks, so that the
/// ties hold exactly.
/// power: one for each loop, as in SolveOptions. Returns false, the draft as it was, if Ceres met something it can't
/// use.
bool solve_tied(const SpacedLoops& loops, const std::vector<Tie>& ties, const FreedNodes& freed,
                const std::vector<double>& power, const std::stop_token& stop, Draft* draft);

}  // namespace batten
