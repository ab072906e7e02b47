#pragma once
// Leaf: the located points that belong to one segment of a draft, and how far the segment is from them.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

struct SegmentData {
  std::vector<Point> points;
  std::vector<double> weights;  ///< 1, or corner_zone_weight beside a corner
};

/// Inside a corner's zone located points lie off the arms; zero would leave short segments undetermined.
inline constexpr double corner_zone_weight = 0.03;

/// Points of the loop from arc `from` forward to arc `to`, about step_px apart, at least `least` of them. zone0, zone1:
/// lengths at either end that weigh corner_zone_weight.
SegmentData points_between(const SpacedLoop& loop, double from, double to, double zone0, double zone1, double step_px,
                           int least = 10);
SegmentData points_of_segment(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment, double step_px);

/// Direction of travel with which the loop leaves (or reaches) a corner, read beyond its zone and run on to it; way_px:
/// length of the segment. sd_rad: how far to trust it (large where the segment is hardly longer than the zone).
struct ArmDirection {
  double angle = 0, sd_rad = 1;
};
ArmDirection arm_at(const SpacedLoop& loop, const DraftNode& corner, double way_px, bool leaving);

struct SegmentError {
  double max_px = 0, sum2 = 0;
  double worst_arc = 0;  ///< arc of the loop where the largest deviation is
};

/// Both ways, against the segment's own stretch of loop only, corner zones left out: a spur that runs along a
/// neighbouring wall is not excused by that wall.
SegmentError segment_error(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);

/// The sum2 of segment_error alone: the way from the loop to the curve only, a third of the work.
double square_sum_px3(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);

/// Does a deviation over the limit come from the curve, and not from how far the points may err?
bool limit_beyond_noise(const SpacedLoop& loop);

/// How often values turn back, each time by over `depth` from the turning points before and after and from the ends.
int turns_back(const std::vector<double>& v, double depth);

/// Does the stretch turn one way only, up to wobble? +1 clockwise on screen, -1 the other way, 0 if it inflects.
int turning_sense(const SpacedLoop& loop, double from, double to);

}  // namespace batten
