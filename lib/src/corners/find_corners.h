#pragma once
// Stage: where a loop may stay sharp. Proposes; the refinement judges.

#include "base/plane.h"
#include "corners/space_loops.h"

namespace batten {

/// A place where the direction turns within a short way.
struct Corner {
  double arc = 0;       ///< on the spaced loop
  Point apex;           ///< where the two arms meet: near a corner the located points lie off it by design
  Point into, out_of;   ///< unit directions of travel of the arms at the apex
  double turn_deg = 0;  ///< 0..180, between the arms
  double abruptness =
      0;               ///< width of the turn (one standard deviation of a step) over the scale: corners 0.3, rounds 1
  double zone_px = 0;  ///< half length round arc inside which located points do not lie on the arms
  bool accepted = false;
  double certainty = 0.5;  ///< 0..1, odds of the reading that it belongs to; 0.5: not weighed
  bool weighed() const { return certainty != 0.5; }
};

struct Corners {
  std::vector<std::vector<Corner>> of_loop;  ///< in order of arc
  std::vector<ArcLoop> relocated;  ///< of each loop: located with a shorter average; the loop itself without ink
};

/// Bands are judged on a loop located again from the ink with a shorter average; `ink` (grid coordinates) may be empty,
/// then from the loop alone. Error: cancelled.
Result<Corners> find_corners(const SpacedLoops& loops, const Plane<float>& ink, double ink_noise, Progress& progress,
                             int threads = 1);

/// How far from its loop a sharp corner of that turn may lie: locating rounds it by so much. An apex beyond belongs to
/// a round or to two corners.
double corner_reach_px(const SpacedLoop& loop, double turn_deg);

/// The corner zone: two roundings, and where the turn is acute the whole way over which the two bands run into one
/// another, W / (2 tan(phi/2)) + W/2 for an inner angle phi.
double corner_zone_px(const SpacedLoop& loop, double turn_deg);

}  // namespace batten
