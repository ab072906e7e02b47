#pragma once
// The located points that belong to one segment of a draft, and how far the segment is from them.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

struct SegmentData {
  std::vector<Point> points;
  std::vector<double> weights;  ///< 1, or corner_zone_weight beside a corner
};

/// Inside a corner's zone located points lie off the two sides; zero would leave short segments undetermined.
inline constexpr double corner_zone_weight = 0.03;

/// Length of the loop's stretch from the start of a segment to its end.
double stretch_px(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);

/// Points of the loop from arc `from` forward to arc `to`, about step_px apart, at least ten of them. Those that lie
/// within zone0_px of the start or within zone1_px of the end weigh corner_zone_weight.
SegmentData points_between(const SpacedLoop& loop, double from, double to, double zone0_px, double zone1_px,
                           double step_px);
SegmentData points_of_segment(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment, double step_px);

struct ArmDirection {
  double angle = 0,
         sd_rad = 1;  ///< sd_rad: how far to trust it; large where the segment is hardly longer than the zone
};
/// The direction of travel with which the loop leaves (or reaches) a corner, read beyond the corner's zone and carried
/// on to it. length_px: of the segment's stretch.
ArmDirection arm_at(const SpacedLoop& loop, const DraftNode& corner, double length_px, bool leaving);

struct SegmentError {
  double max_px = 0;
  double sum2 = 0;       ///< squared distances along the loop, px^3
  double worst_arc = 0;  ///< arc of the loop where the largest distance is
};

/// Distances both ways, between a segment and its own stretch of loop only, the zones of corners left out: a spur that
/// runs along a neighbouring wall is not excused by that wall. Nothing for the way back of an open line.
SegmentError segment_error(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);

/// The sum2 of segment_error() alone, for a third of the work: it is taken from the loop to the curve only.
double square_sum_px3(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);

/// Does a deviation over the limit come from the curve, and not from how far the points may err?
bool limit_beyond_noise(const SpacedLoop& loop);

/// Where values turn back, each time by over `depth` from the turning points before and after and from the ends.
struct TurningPoint {
  std::size_t at;
  bool highest;
};
std::vector<TurningPoint> turning_points(const std::vector<double>& values, double depth);

/// Does the stretch turn one way only, up to wobble? +1 clockwise on screen, -1 the other way, 0 if it inflects.
int turning_sense(const SpacedLoop& loop, double from, double to);

}  // namespace batten
