#pragma once
// The scalars of outlines that are solved together ("joint" means just that): which of them move, which follow from
// others, how far they may go, and where they go back to.

#include <cstddef>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "fit/linear_ties.h"
#include "refine/joint_terms.h"

namespace batten {

/// Numbers all scalars of some outlines, for ties between them.
class ScalarIndex {
 public:
  ScalarIndex() = default;
  explicit ScalarIndex(const Draft& draft);
  void add(const DraftLoop& d) { first_.push_back(first_.back() + d.size() * quantity_count); }
  std::size_t of(std::size_t loop, Quantity q, std::size_t i) const {
    return first_[loop] + i * quantity_count + std::size_t(q);
  }
  static Quantity quantity_of(std::size_t scalar) { return Quantity(scalar % quantity_count); }
  std::size_t count() const { return first_.back(); }

 private:
  std::vector<std::size_t> first_{0};
};

/// Both ends of level and vertical straights share a coordinate.
std::vector<Tie> ties_of_straights(const Draft& draft, const ScalarIndex& index);

/// An outline of a joint solve.
struct JointLoop {
  const SpacedLoop* loop = nullptr;
  DraftLoop* draft = nullptr;  ///< as it is, and as the solve leaves it
  std::vector<char> freed;     ///< one flag a node: is it to move? No flags: the outline stays as it is
  double power = 2;            ///< of the offsets, as in SolveOptions
};

/// What becomes of the coordinates of nodes that are not freed, where ties bind them to nodes that are.
enum class Bound { hold_others, move_along };

/// Holds values of its own; the drafts change only in read_back(). Handles and directions at corners belong to their
/// segment: they move whenever one of its nodes does. Pinned coordinates and the ends of open lines, where other lines
/// may end, stay, and with them whatever is tied to them.
class JointScalars {
 public:
  /// ties: over a ScalarIndex of the loops in their order. The loops have to outlive it.
  JointScalars(const std::vector<JointLoop>& loops, std::vector<Tie> ties, Bound bound);

  /// Takes the drafts' values, moved to where the ties hold. False: one is not finite.
  bool gather();
  bool touched(std::size_t loop, std::size_t segment) const;
  /// Nodes that may move or whose segment is touched: few, on a long outline.
  const std::vector<std::size_t>& concerned(std::size_t loop) const { return concerned_[loop]; }
  /// Is the scalar to be moved, and as which block? One that has a value in common with another has its block; one that
  /// is a sum of several has a block of its own, which nobody but parts_of() is to use.
  Slot slot_of(std::size_t loop, Quantity of, std::size_t i);
  /// The free blocks that the block of a slot is a sum of: itself, if it is free.
  struct Part {
    double* block;
    double factor;
    bool operator==(const Part&) const = default;
  };
  std::vector<Part> parts_of(const double* block);
  bool is_held(const double* free_block) const { return held_[std::size_t(free_block - values_.data())] != 0; }

  /// How far a free block may go in this round. What is tied was moved to where its ties meet and may lie outside.
  struct BlockRange {
    double* block;
    Quantity of;  ///< the first of those it stands for
    double low, high;
    bool tied;
  };
  std::vector<BlockRange> ranges(const std::vector<std::vector<Range>>& of_loops);

  /// Writes the values back. False: one is not finite.
  bool read_back(std::size_t loop, DraftLoop* out) const;
  /// One flag a node.
  std::vector<char> moved_nodes(std::size_t loop) const;

 private:
  bool any_free(std::size_t loop, std::size_t node) const;
  bool moves(std::size_t loop, Quantity q, std::size_t i) const;
  void move_along();
  void weigh_straights();
  void turn_alike();
  bool ties_hold() const;

  const std::vector<JointLoop>& loops_;
  ScalarIndex index_;
  std::vector<Tie> ties_;
  TiedScalars tied_;
  std::vector<char> may_move_, held_;  // flags of scalars; held: of free ones
  std::vector<std::size_t> pinned_;    // scalars
  std::vector<double> values_, weights_;
  std::vector<std::vector<std::size_t>> concerned_;
};

}  // namespace batten
