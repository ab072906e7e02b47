#pragma once
// Leaf: what a joint solve is made of, one piece and one joint at a time: residuals, pulls and ranges over the scalars
// of a draft. Who shares a scalar with whom, and which stay as they are, is the solver's business.

#include <functional>
#include <vector>

#include "draft.h"
#include "piece_residual.h"
#include "space_loops.h"

namespace batten {

/// The scalars of a draft: of a joint x, y, angle; of a piece its handles and the directions at its corner ends.
enum class Quantity { x, y, angle, h0, h1, a0, a1 };
inline constexpr std::size_t quantity_count = 7;

double value_of(const DraftLoop& d, Quantity of, std::size_t index);
void set_value(DraftLoop* d, Quantity of, std::size_t index, double value);

/// Where a scalar comes from; index is the joint's or the piece's.
using SlotOf = std::function<Slot(Quantity of, std::size_t index)>;

/// The residual of one piece. Directions that are fixed, or follow from a straight, take no slot. power as in
/// SolveOptions.
PieceSlots piece_slots(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece, double power, const SlotOf& slot);

/// residual = (value - target) / sd
struct Pull {
  Quantity of;
  std::size_t index;
  double target, sd;
};
/// Weak pulls on a joint and the piece that leaves it: they decide only what the points leave open.
/// piece_moves: false leaves out its directions at corners, which are read off the loop.
std::vector<Pull> pulls_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t joint, bool piece_moves = true);

struct Range {
  Quantity of;
  std::size_t index;
  double low, high;
};
/// How far a joint and the piece that leaves it may move in one round.
std::vector<Range> ranges_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t joint);

/// Handles as short or long as the caps of the present geometry allow.
void clamp_handles(DraftLoop* d);

}  // namespace batten
