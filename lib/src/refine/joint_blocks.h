#pragma once
// The scalars of an outline while all its nodes are solved together ("joint" means just that): which move, which are
// shared, and where they go back to.

#include <array>
#include <cstddef>
#include <vector>

#include "fit/draft.h"
#include "refine/joint_terms.h"

namespace batten {

/// Level and vertical straights share a coordinate: its block belongs to the first of their nodes. Holds values of its
/// own; the draft changes only in read_back().
class JointBlocks {
 public:
  /// freed: one flag a node, empty: all. The draft has to outlive it.
  JointBlocks(const DraftLoop& d, std::vector<char> freed);

  bool free(std::size_t node) const { return freed_.empty() || freed_[node]; }
  bool touched(std::size_t segment) const { return free(segment) || free(d_.next(segment)); }
  /// Nodes that are free or whose segment is touched: few, on a long outline.
  const std::vector<std::size_t>& concerned() const { return concerned_; }
  /// Handles and directions at corners belong to their segment: they move whenever it is touched. A shared coordinate
  /// moves only if all its nodes are free.
  Slot slot_of(Quantity of, std::size_t index);
  double* block_of(Quantity of, std::size_t index);
  bool all_finite() const;
  void read_back(DraftLoop* out) const;

 private:
  std::vector<double>& values(Quantity of) { return values_[std::size_t(of)]; }
  const std::vector<double>& values(Quantity of) const { return values_[std::size_t(of)]; }
  std::size_t owner(Quantity of, std::size_t index) const;

  const DraftLoop& d_;
  std::vector<char> freed_;
  std::array<std::vector<double>, quantity_count> values_;
  std::vector<std::size_t> x_of_, y_of_;  // node -> owner of its coordinate
  std::vector<char> x_free_, y_free_;     // of owners
  std::vector<std::size_t> concerned_;
};

}  // namespace batten
