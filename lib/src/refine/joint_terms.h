#pragma once
// Leaf: what a joint solve is made of, one segment and one node at a time: residuals, pulls and ranges over the scalars
// of a draft. Who shares a scalar with whom, and which stay as they are, is the solver's business.

#include <functional>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "refine/segment_residual.h"

namespace batten {

/// The scalars of a draft: of a node x, y, angle; of a segment its handles and the directions at its corner ends.
enum class Quantity { x, y, angle, h0, h1, a0, a1 };
inline constexpr std::size_t quantity_count = 7;

double value_of(const DraftLoop& d, Quantity of, std::size_t index);
void set_value(DraftLoop* d, Quantity of, std::size_t index, double value);

/// Where a scalar comes from; index is the node's or the segment's.
using SlotOf = std::function<Slot(Quantity of, std::size_t index)>;

/// The residual of one segment. Directions that are fixed, or follow from a straight, take no slot. power as in
/// SolveOptions.
SegmentSlots segment_slots(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment, double power,
                           const SlotOf& slot);

/// residual = (value - target) / sd
struct Pull {
  Quantity of;
  std::size_t index;
  double target, sd;
};
/// Bounds of a scalar in one round.
struct Range {
  Quantity of;
  std::size_t index;
  double low, high;
};

/// Of a node and the segment that leaves it: weak pulls, which decide only what the points leave open, and how far they
/// may move in one round.
struct JointTerms {
  std::vector<Pull> pulls;
  std::vector<Range> ranges;
};
/// segment_moves: false leaves out its directions at corners, which are read off the loop.
JointTerms joint_terms(const SpacedLoop& loop, const DraftLoop& d, std::size_t node, bool segment_moves = true);

/// Handles as short or long as the caps of the present geometry allow.
void clamp_handles(DraftLoop* d);

}  // namespace batten
