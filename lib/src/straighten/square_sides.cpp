#include "straighten/square_sides.h"

#include <algorithm>
#include <cmath>

#include "fit/segment_data.h"

namespace batten {
namespace {

// Least length of a side whose end runs smoothly on, in band widths: as for other runs with one free end.
constexpr double shortest_in_bands = 2.5;

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
  return high - low <= 2 * std::min(0.15 + 1.3 * loop.sigma_px, 0.95 * straight_tolerance_px(loop));
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
bool make_straight(const StraightenContext& context, std::size_t segment, bool vertical, DraftLoop* d,
                   std::vector<AxisStraight>* edits) {
  const EditContext& c = context.edit;
  const std::size_t ends[] = {segment, d->next(segment)};
  DraftLoop next = *d;
  next.segments[segment] = DraftSegment{};
  next.segments[segment].straight = true;
  (vertical ? next.segments[segment].vertical : next.segments[segment].level) = true;
  for (const std::size_t j : ends)
    if (!next.nodes[j].corner) next.nodes[j].reason = Reason::straight_end, next.nodes[j].angle_fixed = false;
  settle_angles(&next);
  const double before = local_error(c.loop, *d, Window::around(*d, segment, 3, 3)).max_px;
  if (!settle_within(c.loop, segment, 1, std::max(before, straight_tolerance_px(c.loop)), c.stop, &next)) return false;
  if (distance(next.nodes[ends[0]].at, next.nodes[ends[1]].at) < shortest_side_px) return false;
  if (!rest_holds(c.loop, *d, next, segment) || !context.holds(*d, next)) return false;
  edits->push_back({vertical, middle_arc(c.loop, next, segment), moved_px(*d, next, segment)});
  *d = std::move(next);
  return true;
}

double height_px(const SpacedLoop& loop) {
  double low = 1e300, high = -1e300;
  for (const Point p : loop.curve.points) low = std::min(low, p.y), high = std::max(high, p.y);
  return high - low;
}

}  // namespace

bool straighten_flat(const StraightenContext& context, std::size_t segment, bool vertical, DraftLoop* d,
                     std::vector<AxisStraight>* edits) {
  // Of such segments in drawings of open fonts three in four were straights, of shorter ones one in four.
  constexpr double shortest_flat_in_bands = 3, most_off_axis_deg = 0.5;
  const SpacedLoop& loop = context.edit.loop;
  const DraftNode &a = d->nodes[segment], &b = d->nodes[d->next(segment)];
  if (d->segments[segment].straight || a.reason == Reason::pinned || b.reason == Reason::pinned) return false;
  if (distance(a.at, b.at) < std::max(shortest_side_px, shortest_flat_in_bands * loop.band_px)) return false;
  const double out = start_angle(*d, segment), in = end_angle(*d, segment);
  const auto along = [&](double angle) {
    return std::abs(vertical ? std::cos(angle) : std::sin(angle)) <= std::sin(radians(most_off_axis_deg));
  };
  if (!along(out) || !along(in)) return false;
  const bool one_way = std::abs(wrap_angle(out - in)) < pi / 2;
  const double apart = std::abs(vertical ? b.at.x - a.at.x : b.at.y - a.at.y);
  return one_way && apart <= 2 * loop.sigma_px && make_straight(context, segment, vertical, d, edits);
}

bool straighten_side(const StraightenContext& context, std::size_t segment, bool vertical, DraftLoop* d,
                     std::vector<AxisStraight>* edits) {
  const EditContext& c = context.edit;
  const std::size_t ends[] = {segment, d->next(segment)};
  if (d->segments[segment].straight || d->nodes[ends[0]].corner == d->nodes[ends[1]].corner) return false;
  const bool leaving = d->nodes[ends[0]].corner;
  const std::size_t smooth = leaving ? ends[1] : ends[0], corner = leaving ? ends[0] : ends[1];
  const DraftNode& on = d->nodes[smooth];
  if (!on.angle_fixed || on.reason == Reason::pinned || touches_straight(*d, smooth)) return false;
  if ((std::abs(std::sin(on.angle)) > 0.5) != vertical) return false;
  if ((context.ink_at_right ? 1 : -1) * square_turn_deg(*d, corner, leaving, vertical) <= 0) return false;
  if (distance(d->nodes[ends[0]].at, d->nodes[ends[1]].at) < shortest_side_px) return false;
  if (!hides_no_curve(c.loop, *d, segment, vertical)) return false;
  return make_straight(context, segment, vertical, d, edits);
}

bool square_off(const StraightenContext& context, std::size_t corner, bool leaving, DraftLoop* d,
                std::vector<AxisStraight>* edits) {
  // The mean line of an arc that begins along the axis lies off it by up to `reach` where the arc has risen by 1.5 of
  // that: its slope over its length.
  constexpr double rise_of_arc = 1.5, largest_share_of_arc = 0.8;
  // Of runs from the square end of a stroke over this share of the letter's height four in five are straights, of
  // shorter ones one in eight (counted in 24 open fonts, within 1 px of 600): a long one may look like an arc as well.
  constexpr double long_side = 0.075, largest_share_of_arc_if_long = 1;
  Candidate k;
  k.segment = leaving ? corner : d->previous(corner);
  const DraftSegment& cut = d->segments[leaving ? d->previous(corner) : corner];
  k.vertical = cut.level;
  if (d->segments[k.segment].straight || !(k.vertical ? context.intent.vertical : context.intent.level)) return false;
  const double turn_deg = square_turn_deg(*d, corner, leaving, k.vertical);
  if (turn_deg == 0) return false;
  const double angle = leaving ? start_angle(*d, k.segment) : end_angle(*d, k.segment);
  if (off_axis_deg(angle) > 0.5) return false;  // refine_curves() has put it there
  const SpacedLoop& loop = context.edit.loop;
  k.section = section_of(loop, *d, k.segment);
  const Section& s = k.section;
  const double way = s.high - s.low;
  const double low = s.low + zone_at(*d, s.first, way), high = s.high - zone_at(*d, s.last, way);
  const double reach = std::min(0.15 + 1.3 * loop.sigma_px, 0.95 * straight_tolerance_px(loop));
  constexpr double inside_px = 5;
  const double seed = leaving ? std::min(low + inside_px, high) : std::max(high - inside_px, low);
  k.run = axis_run(loop, k.vertical, low, high, seed, reach);
  const double slack = std::max(3.0, 0.5 * loop.scale_px);
  k.from_barrier = k.run.from - low < slack, k.to_barrier = high - k.run.to < slack;
  if (k.from_barrier != leaving || k.to_barrier == leaving) return false;
  const double rise = std::abs(std::tan(radians(k.run.tilt_deg))) * k.run.length_px();
  const bool square_end = (context.ink_at_right ? 1 : -1) * turn_deg > 0;
  const bool is_long = square_end && k.run.length_px() >= long_side * height_px(loop);
  if (rise > (is_long ? largest_share_of_arc_if_long : largest_share_of_arc) * rise_of_arc * reach) return false;
  trim_overhang(&k, 1, 0.5);
  const double side_px = (k.to_barrier ? s.high : k.run.to) - (k.from_barrier ? s.low : k.run.from);
  if (side_px < std::max(shortest_side_px, shortest_in_bands * loop.band_px)) return false;
  return put_straight(context, k, true, d, edits);
}

}  // namespace batten
