#pragma once
// Stage: proposes where a loop may stay sharp. weigh_corners holds the proposals against the ink.

#include <optional>

#include "base/plane.h"
#include "corners/space_loops.h"

namespace batten {

/// A place where the direction turns within a short stretch of the loop.
struct Corner {
  double arc = 0;       ///< on the spaced loop
  Point apex;           ///< where the two arms meet: near a corner the located points lie off it by design
  Point into, out_of;   ///< unit directions of travel of the arms at the apex
  double turn_deg = 0;  ///< 0..180, between the arms
  /// Width of the turn (one standard deviation of a step) over the scale, as find_corners measured it: corners 0.3,
  /// rounds 1.
  double abruptness = 0;
  /// The abruptness with what the ink says about it, for choosing between corners close together: lowered to 0.35 or
  /// 0.5 where the ink is sure of a corner, raised to 0.8 where it is against one.
  double weighed_abruptness = 0;
  double zone_px = 0;  ///< half length round arc inside which located points do not lie on the arms
  bool accepted = false;
  /// 0..1, odds of the hypothesis that it belongs to. Empty where the ink did not decide: it was not asked, or a fused
  /// wedge, a step or two corners were taken although their odds were below one half.
  std::optional<double> certainty;
  bool weighed() const { return certainty.has_value(); }
};

struct Corners {
  std::vector<std::vector<Corner>> of_loop;  ///< in order of arc
  std::vector<ArcLoop> relocated;  ///< of each loop: located with a shorter average; the loop itself without ink
};

/// Bands are judged on a loop located again from the ink with a shorter average; `ink` (grid coordinates) may be empty,
/// then from the loop alone. ink_noise: standard deviation of the ink on bare paper. Error: cancelled.
Result<Corners> find_corners(const SpacedLoops& loops, const Plane<float>& ink, double ink_noise, Progress& progress,
                             int threads = 1);

/// How far from its loop the apex of a sharp corner of that turn may lie: locating rounds it by so much. An apex beyond
/// belongs to a round or to two corners.
double farthest_apex_px(const SpacedLoop& loop, double turn_deg);

/// On an open line the apex may lie no farther off than half of what is left of the line on the shorter side: in a
/// network the ink of other lines lies round a place, and short ends point anywhere. Always true on closed loops.
bool is_shown_by_line(const SpacedLoop& loop, const Corner& corner);

/// Half the length of the corner zone: two roundings, and where the turn is acute the whole stretch over which the two
/// bands run into one another, W / (2 tan(phi/2)) + W/2 for an inner angle phi.
double corner_zone_px(const SpacedLoop& loop, double turn_deg);

}  // namespace batten
