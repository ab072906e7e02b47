#pragma once
// The terms of a joint solve, which moves all nodes of an outline together: for each segment a residual, for each node
// weak pulls and ranges. Which scalars are shared and which stay is decided elsewhere (joint_scalars.h).

#include <functional>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "refine/segment_residual.h"

namespace batten {

/// The scalars of a draft. A node has x, y and angle; a segment has the lengths of its handles h0, h1 and, where it
/// ends in a corner, its directions there a0, a1.
enum class Quantity { x, y, angle, h0, h1, a0, a1 };
inline constexpr std::size_t quantity_count = 7;

double value_of(const DraftLoop& d, Quantity of, std::size_t index);
void set_value(DraftLoop* d, Quantity of, std::size_t index, double value);

/// Tells where a scalar comes from; index is that of its node or segment.
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

/// For a node and the segment that leaves it: weak pulls, which decide only what the points leave open, and how far the
/// scalars may move in one round.
struct JointTerms {
  std::vector<Pull> pulls;
  std::vector<Range> ranges;
};
/// segment_moves: false leaves out its directions at corners, which are read off the loop.
JointTerms joint_terms(const SpacedLoop& loop, const DraftLoop& d, std::size_t node, bool segment_moves = true);

/// Shortens and lengthens handles to what handle_caps() allows where the nodes are now.
void clamp_handles(DraftLoop* d);

}  // namespace batten
