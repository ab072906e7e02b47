#pragma once
// Stage: corners, straights and extremes -> the nodes that a practitioner would set first.

#include "draft.h"
#include "find_corners.h"
#include "find_straights.h"
#include "space_loops.h"

namespace batten {

/// Nodes at corners, at the ends of straights, and (Options::Extremes::required) at extremes between them; at least two
/// a loop. Pieces are not fitted yet: h0, h1 are thirds of the chord.
Result<Draft> place_nodes(const SpacedLoops& loops, const Corners& corners, const Straights& straights,
                          const Options& options, Progress& progress);

/// An extreme of a stretch of loop.
struct Extreme {
  double arc = 0;
  Reason reason = Reason::extreme_top;
};

/// Extremes strictly inside arcs [from, to] of the loop (to may exceed the length): turning points of x and of y with
/// hysteresis_px on both sides; a flat one is placed mid-way along its flat part.
std::vector<Extreme> extremes_between(const ArcLoop& smooth, double from, double to, double hysteresis_px);

/// Below this depth an extreme is noise.
double extreme_hysteresis_px(const SpacedLoop& loop);
/// The loop on which extremes are looked for.
ArcLoop smooth_for_extremes(const SpacedLoop& loop);
/// Axis direction of travel at an extreme, given roughly the direction of travel there.
double axis_angle(double angle);
/// How far a direction is from the nearest axis, 0..45.
double off_axis_deg(double angle);
/// Smooth joint on the loop at an arc: place and direction by local least squares.
Joint smooth_joint(const SpacedLoop& loop, double arc, Reason reason);

}  // namespace batten
