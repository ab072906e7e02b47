#pragma once
// Leaf of weigh_corners: one corner whose sides run so nearly alike that their bands are one over several widths.
//
// Up to where the bands part, the located middle belongs to neither side: it ends in the round of what has run
// together. Farther out each side is itself. So the corner is a point with two sides that leave it, each of a direction
// and a bend of its own, held to the located middles where the bands are apart and to the ink where they are not.
// Across the sides the middles tell most; along the bisector they tell a sine of the half angle less, and the end of
// the ink counts.

#include "corners/corner_hypotheses.h"
#include "corners/space_loops.h"

namespace batten {

/// From this turn on the bands are one over two widths and more, and this reading places the corner best.
inline constexpr double fused_turn_deg = 140;

/// How a drawing's bands look: what all loops of one band width share.
struct PencilInk {
  double band_px = 0;
  BandProfile profile;  ///< empty: there was nothing to measure it by
  EndFade fade;
  double sample_variance = 0;  ///< of ink that a right reading leaves over, per sample
};

/// The place: an arc of the loop about the tip, how far its two sides reach before something else begins for certain,
/// and arcs at which it may: where bands have run together their middle bends without a reason.
struct WedgePlace {
  int loop = 0;
  double arc = 0, back_px = 0, ahead_px = 0;
  std::vector<double> weak_turns;
};

/// Not valid where the sides do not part, are too short to be read, turn by less than `least_turn_deg`, or would have
/// to bend together to meet. `square_sum` is that over `judged`, so that it can be held against other readings of a
/// place.
CornerHypothesis read_wedge(const SpacedLoop& loop, const LoopIndex& loops, const Plane<float>& ink,
                            const PencilInk& pencil, const NormalTable& normal, const WedgePlace& place,
                            const InkWindow& judged, double least_turn_deg);

/// Strokes of one side keep their offset that long.
inline constexpr double profile_widths = 3.5;
/// The mean ink across a side: its own within one width, strokes of one side keep their offset; the drawing's beyond,
/// where neighbours may lie, and a fifth of it within.
BandProfile side_profile(const Plane<float>& ink, const std::vector<LinePlace>& line, const PencilInk& pencil);

}  // namespace batten
