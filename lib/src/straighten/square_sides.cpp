#include <algorithm>
#include <cmath>
#include <utility>

#include "fit/segment_data.h"
#include "straighten/axis_lines.h"
#include "straighten/straight_edits.h"

namespace batten {
namespace {

// Does the segment, its corners' zones left out, keep so close to one level or vertical line that no curve is to be
// seen?
bool hides_no_curve(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment, bool vertical) {
  const SegmentData data = points_of_segment(loop, d, segment, loop.curve.step_px);
  double low = 1e300, high = -1e300;
  for (std::size_t i = 0; i < data.points.size(); ++i) {
    if (data.weights[i] < 1) continue;
    const double v = vertical ? data.points[i].x : data.points[i].y;
    low = std::min(low, v), high = std::max(high, v);
  }
  return high - low <= 2 * run_offset_px(loop, usual_sigmas);
}

// The turn at a corner whose one segment is a straight on the other axis, deg, positive clockwise on screen; 0
// elsewhere.
double square_turn_deg(const DraftLoop& d, std::size_t corner, bool leaving, bool vertical) {
  constexpr double largest_off_square_deg = 25;
  const DraftSegment& cut = d.segments[leaving ? d.previous(corner) : corner];
  if (!on_axis(cut) || cut.vertical == vertical) return 0;
  const double turn_deg = degrees(wrap_angle(start_angle(d, corner) - end_angle(d, d.previous(corner))));
  return std::abs(std::abs(turn_deg) - 90) < largest_off_square_deg ? turn_deg : 0;
}

// The segment made a straight between its own two nodes, which slide along it.
bool make_straight(const StraightenContext& context, std::size_t segment, bool vertical, LoopStraightening* work) {
  DraftLoop next = work->draft;
  next.segments[segment] = DraftSegment{};
  next.segments[segment].straight = true;
  (vertical ? next.segments[segment].vertical : next.segments[segment].level) = true;
  for (const std::size_t i : {segment, next.next(segment)})
    if (!next.nodes[i].corner) next.nodes[i].reason = Reason::straight_end, next.nodes[i].angle_fixed = false;
  settle_angles(&next);
  return try_straight(context, segment, 1, shortest_side_px, std::move(next), work);
}

}  // namespace

bool straighten_flat(const StraightenContext& context, std::size_t segment, bool vertical, LoopStraightening* work) {
  // In drawings of open fonts three in four of such segments were straights, of shorter ones one in four.
  constexpr double shortest_flat_in_bands = 3, most_off_axis_deg = 0.5;
  const SpacedLoop& loop = context.edit.loop;
  const DraftLoop& d = work->draft;
  const DraftNode &a = d.nodes[segment], &b = d.nodes[d.next(segment)];
  if (d.segments[segment].straight) return false;
  if (distance(a.at, b.at) < std::max(shortest_side_px, shortest_flat_in_bands * loop.band_px)) return false;
  const double out = start_angle(d, segment), in = end_angle(d, segment);
  const auto along = [&](double angle) {
    return std::abs(vertical ? std::cos(angle) : std::sin(angle)) <= std::sin(radians(most_off_axis_deg));
  };
  if (!along(out) || !along(in)) return false;
  const bool same_sense = std::abs(wrap_angle(out - in)) < pi / 2;
  const double apart_px = std::abs(vertical ? b.at.x - a.at.x : b.at.y - a.at.y);
  return same_sense && apart_px <= 2 * loop.sigma_px && make_straight(context, segment, vertical, work);
}

bool straighten_side(const StraightenContext& context, std::size_t segment, bool vertical, LoopStraightening* work) {
  const DraftLoop& d = work->draft;
  const std::size_t from = segment, to = d.next(segment);
  if (d.segments[segment].straight || d.nodes[from].corner == d.nodes[to].corner) return false;
  const bool leaving = d.nodes[from].corner;
  const std::size_t smooth = leaving ? to : from, corner = leaving ? from : to;
  const DraftNode& end = d.nodes[smooth];
  if (!end.angle_fixed || touches_straight(d, smooth)) return false;
  if ((std::abs(std::sin(end.angle)) > 0.5) != vertical) return false;
  if ((context.ink_at_right ? 1 : -1) * square_turn_deg(d, corner, leaving, vertical) <= 0) return false;
  if (distance(d.nodes[from].at, d.nodes[to].at) < shortest_side_px) return false;
  return hides_no_curve(context.edit.loop, d, segment, vertical) && make_straight(context, segment, vertical, work);
}

bool square_off(const StraightenContext& context, std::size_t corner, bool leaving, LoopStraightening* work) {
  // The mean line of an arc that begins along the axis lies off it by up to the run's offset where the arc has risen by
  // 1.5 of that: its slope over its length.
  constexpr double rise_of_arc = 1.5, largest_share_of_arc = 0.8;
  // Four in five runs from the square end of a stroke over this share of the letter's height are straights, of shorter
  // ones one in eight (counted in 24 open fonts, within 1 px of 600): a long one may look like an arc as well.
  constexpr double long_side = 0.075, largest_share_of_arc_if_long = 1;
  const SpacedLoop& loop = context.edit.loop;
  const DraftLoop& d = work->draft;
  StraightCandidate side;
  side.segment = leaving ? corner : d.previous(corner);
  side.vertical = d.segments[leaving ? d.previous(corner) : corner].level;
  if (d.segments[side.segment].straight || !(side.vertical ? context.intent.vertical : context.intent.level))
    return false;
  const double turn_deg = square_turn_deg(d, corner, leaving, side.vertical);
  if (turn_deg == 0) return false;
  const double angle = leaving ? start_angle(d, side.segment) : end_angle(d, side.segment);
  if (off_axis_deg(angle) > 0.5) return false;  // refine_curves() has put it there
  side.section = section_of(loop, d, side.segment);
  const SmoothSection& s = side.section;
  constexpr double inside_px = 5;
  const double seed_arc = leaving ? std::min(s.trusted_low + inside_px, s.trusted_high)
                                  : std::max(s.trusted_high - inside_px, s.trusted_low);
  const double offset_px = run_offset_px(loop, usual_sigmas);
  find_run(loop, seed_arc, offset_px, &side);
  if (side.from_barrier != leaving || side.to_barrier == leaving) return false;
  const double rise_px = std::abs(std::tan(radians(side.run.tilt_deg))) * side.run.length_px();
  const bool square_end = (context.ink_at_right ? 1 : -1) * turn_deg > 0;
  const bool is_long = square_end && side.run.length_px() >= long_side * height_of(loop).length_px();
  if (rise_px > (is_long ? largest_share_of_arc_if_long : largest_share_of_arc) * rise_of_arc * offset_px) return false;
  trim_overhang(&side, 1, 0.5);
  const double side_px = (leaving ? side.run.to : s.high) - (leaving ? s.low : side.run.from);
  if (side_px < std::max(shortest_side_px, shortest_in_bands[1] * loop.band_px)) return false;
  return put_straight(context, side, true, work);
}

}  // namespace batten
