#pragma once
// Fits one corner whose sides run so nearly alike that their bands are one over several widths.
//
// Up to where the bands part, the located middle belongs to neither side: it ends in the round of what has run
// together. Farther out each side is itself. So the corner is a point with two sides that leave it, each of a direction
// and a bend of its own, held to the located middles where the bands are apart and to the ink where they are not.
// Across the sides the middles tell most; along the bisector they tell a sine of the half angle less, and the end of
// the ink counts.

#include "corners/corner_hypotheses.h"
#include "corners/space_loops.h"

namespace batten {

/// From this turn on the bands are one over two widths and more, and a wedge places the corner best.
inline constexpr double fused_turn_deg = 140;

/// Before a neighbouring corner the other side of that begins to show: so much of the loop is left out, in widths.
inline constexpr double neighbour_widths = 0.4;

/// The place: an arc of the loop about the tip, how far its two sides go before something else begins for certain,
/// and arcs at which it may: where bands have run together their middle bends without a reason.
struct WedgePlace {
  int loop = 0;
  double arc = 0, back_px = 0, ahead_px = 0;
  std::vector<double> weak_turns;
};

/// Not valid where the sides do not part, are too short to be read, turn by less than `least_turn_deg`, or would have
/// to bend together to meet. `square_sum` is that over `judged`, so that it can be held against other hypotheses about
/// a place.
CornerHypothesis fit_wedge(const SpacedLoop& loop, const LoopIndex& loops, const Plane<float>& ink,
                           const PencilInk& pencil, const WedgePlace& place, const InkWindow& judged,
                           double least_turn_deg);

}  // namespace batten
