#pragma once
// Leaf: the located points that belong to one piece of a draft, and how far the piece is from them.

#include "draft.h"
#include "space_loops.h"

namespace batten {

struct PieceData {
  std::vector<Point> points;
  std::vector<double> weights;  ///< 1, or corner_zone_weight beside a corner
};

/// Inside a corner's zone located points lie off the arms; zero would leave short pieces undetermined.
inline constexpr double corner_zone_weight = 0.03;

/// Points of the loop from arc `from` forward to arc `to`, about step_px apart, at least `least` of them. zone0, zone1:
/// lengths at either end that weigh corner_zone_weight.
PieceData points_between(const SpacedLoop& loop, double from, double to, double zone0, double zone1, double step_px,
                         int least = 10);
PieceData points_of_piece(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece, double step_px);

/// Direction of travel with which the loop leaves (or reaches) a corner, read beyond its zone and run on to it; way_px:
/// length of the piece. sd_rad: how far to trust it (large where the piece is hardly longer than the zone).
struct ArmDirection {
  double angle = 0, sd_rad = 1;
};
ArmDirection arm_at(const SpacedLoop& loop, const Joint& corner, double way_px, bool leaving);

struct PieceError {
  double max_px = 0, sum2 = 0;
  double worst_arc = 0;  ///< arc of the loop where the largest deviation is
};

/// Both ways, against the piece's own stretch of loop only, corner zones left out: a spur that runs along a neighbouring
/// wall is not excused by that wall.
PieceError piece_error(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece);

/// The sum2 of piece_error alone: the way from the loop to the curve only, a third of the work.
double square_sum_px3(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece);

/// Does a deviation over the limit come from the curve, and not from how far the points may err?
bool limit_beyond_noise(const SpacedLoop& loop);

/// How often values turn back, each time by over `depth` from the turning points before and after and from the ends.
int turns_back(const std::vector<double>& v, double depth);

/// Does the stretch turn one way only, up to wobble? +1 clockwise on screen, -1 the other way, 0 if it inflects.
int turning_sense(const SpacedLoop& loop, double from, double to);

}  // namespace batten
