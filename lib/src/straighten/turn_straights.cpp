#include "straighten/turn_straights.h"

#include <algorithm>
#include <utility>

#include "straighten/join_straights.h"
#include "straighten/square_sides.h"

namespace batten {
namespace {

// A segment whose chord is further from an axis than this was not meant to lie on it, nor is one looked for there.
constexpr double seed_deg = 12;
// What a hand may miss an axis by on a short side; a longer one is held by the tolerance.
constexpr double largest_tilt_deg = 5;
// A slope over as many of its standard deviations, the hand's own among them, was meant: of straights beyond 10 in 54
// were drawn on an axis, of those between one and two 98 in 132 (outlines of twelve open fonts drawn with a pencil).
constexpr double largest_tilt_sds = 2.2, hand_deg = 0.3;
// Of a run with two free ends when its reach grows by 2.5: a straight grows by its overhang, an arc by 0.58.
constexpr double largest_growth = 0.27;
constexpr double worthwhile_gain = 1.25;
// Least length of a run in band widths, by how many of its ends run smoothly on. The bow of a flat arch hides in the
// wavering of a pencil line over some five band widths (measured on outlines of open fonts drawn with a pencil);
// letters that lean are drawn from the wrist and have such arches instead of level straights (common practice, no
// source).
constexpr double shortest_in_bands[] = {0, 2.5, 6}, shortest_leaning_in_bands = 10;

std::vector<double> reaches(const SpacedLoop& loop) {
  std::vector<double> out;
  for (double k : {0.7, 1.3, 2.2, 3.2})
    out.push_back(std::min(0.15 + k * loop.sigma_px, 0.95 * straight_tolerance_px(loop)));
  out.push_back(0.95 * straight_tolerance_px(loop));
  return out;
}

bool leans_on_purpose(const SpacedLoop& loop, double tilt_deg, double length_px) {
  return std::abs(tilt_deg) > largest_tilt_sds * std::hypot(tilt_sd_deg(loop, length_px), hand_deg);
}

// As straight as it is level or vertical? An arc grows by 1.58 when the reach grows by 2.5, half of it at either free
// end; a run between two corners can't grow and is judged by its bow alone.
// side_px: the run and what lies between it and the corners it reaches, where points are not to be trusted.
bool straight_enough(const SpacedLoop& loop, const AxisRun& r, double side_px, int free_ends, bool leaning) {
  const double bands = free_ends > 0 && leaning ? shortest_leaning_in_bands : shortest_in_bands[free_ends];
  if (side_px < std::max(shortest_side_px, bands * loop.band_px)) return false;
  if (std::abs(r.tilt_deg) > largest_tilt_deg || leans_on_purpose(loop, r.tilt_deg, r.length_px())) return false;
  if (free_ends > 0 && r.growth - 1 > largest_growth) return false;
  return std::abs(r.bow_px) < std::max(0.15, 2 * bow_sd_px(loop, r.length_px()));
}

// The run through a seed that is as straight as it is level or vertical: with the shortest reach that will do, unless a
// longer one gains a good deal.
bool best_run(const SpacedLoop& loop, const DraftLoop& d, bool leaning, Candidate* c) {
  const Section& s = c->section;
  const double way = s.high - s.low;
  const double low = s.low + zone_at(d, s.first, way), high = s.high - zone_at(d, s.last, way);
  const double from = s.low + loop.curve.ahead(s.low, d.nodes[c->segment].arc);
  const double own = loop.curve.ahead(d.nodes[c->segment].arc, d.nodes[d.next(c->segment)].arc);
  const double slack = std::max(3.0, 0.5 * loop.scale_px);
  const double chord_angle = angle_of(d.nodes[d.next(c->segment)].at - d.nodes[c->segment].at);
  bool found = false;
  for (double reach : reaches(loop))
    for (double share : {0.5, 0.3, 0.7, 0.1, 0.9}) {
      const double seed = std::clamp(from + share * own, low, high);
      AxisRun r = axis_run(loop, c->vertical, low, high, seed, reach);
      bool at_low = !s.whole && r.from - low < slack, at_high = !s.whole && high - r.to < slack;
      if (d.segments[c->segment].straight && ((at_low && !s.corner_low) || (at_high && !s.corner_high))) continue;
      // Between two straights that run smoothly on into one another lies a curve: room for it.
      if (at_low && !s.corner_low) r.from += 2 * loop.scale_px, at_low = false;
      if (at_high && !s.corner_high) r.to -= 2 * loop.scale_px, at_high = false;
      const double side_px = (at_high ? s.high : r.to) - (at_low ? s.low : r.from);
      if (!straight_enough(loop, r, side_px, int(!at_low) + int(!at_high), leaning)) continue;
      if (at_low && at_high && off_axis_deg(chord_angle) > largest_tilt_deg) continue;
      // A straight that begins at a corner is not cut short of it.
      if (d.segments[c->segment].straight && ((s.corner_low && s.first == c->segment && !at_low) ||
                                              (s.corner_high && s.last == d.next(c->segment) && !at_high)))
        continue;
      if (found && r.length_px() < worthwhile_gain * c->run.length_px()) continue;
      c->run = r, found = true;
      c->from_barrier = at_low, c->to_barrier = at_high;
    }
  if (found) trim_overhang(c, 0.5, 0.25);  // half: with two free ends the growth tells less of either
  return found;
}

bool is_seed(const DraftLoop& d, std::size_t i, const AxisIntent& intent, bool* vertical) {
  if (on_axis(d.segments[i])) return false;
  const double angle = angle_of(d.nodes[d.next(i)].at - d.nodes[i].at);
  if (off_axis_deg(angle) > seed_deg) return false;
  *vertical = std::abs(std::sin(angle)) > 0.5;
  return *vertical ? intent.vertical : intent.level;
}

// The straight as it stands, turned onto the axis.
bool try_turn(const StraightenContext& context, std::size_t segment, bool vertical, DraftLoop* d,
              std::vector<AxisStraight>* edits) {
  const EditContext& c = context.edit;
  const std::size_t end = d->next(segment);
  if (!d->segments[segment].straight ||
      off_axis_deg(angle_of(d->nodes[end].at - d->nodes[segment].at)) > largest_tilt_deg)
    return false;
  const double way = c.loop.curve.ahead(d->nodes[segment].arc, d->nodes[end].arc);
  const double from = d->nodes[segment].arc + zone_at(*d, segment, way);
  const double to = d->nodes[segment].arc + way - zone_at(*d, end, way);
  if (leans_on_purpose(c.loop, tilt_of_run_deg(c.loop, vertical, from, to), to - from)) return false;
  const double before = local_error(c.loop, *d, Window::around(*d, segment, 3, 3)).max_px;
  for (const std::size_t reach : {std::size_t(3), std::size_t(1)}) {  // what lies beside it as it is, if need be
    DraftLoop next = *d;
    (vertical ? next.segments[segment].vertical : next.segments[segment].level) = true;
    if (!settle_within(c.loop, segment, reach, std::max(before, straight_tolerance_px(c.loop)), c.stop, &next))
      continue;
    if (!rest_holds(c.loop, *d, next, segment) || !context.holds(*d, next)) continue;
    edits->push_back({vertical, middle_arc(c.loop, next, segment), moved_px(*d, next, segment)});
    *d = std::move(next);
    return true;
  }
  return false;
}

}  // namespace

std::vector<AxisStraight> straighten_loop(const StraightenContext& context, DraftLoop* d) {
  const EditContext& c = context.edit;
  std::vector<AxisStraight> edits;
  for (std::size_t i = 0; i < d->size() && !c.stop.stop_requested(); ++i) {
    bool vertical = false;
    if (d->segments[i].straight && is_seed(*d, i, context.intent, &vertical)) try_turn(context, i, vertical, d, &edits);
  }
  std::vector<double> tried;  // middles of seeds that led nowhere
  while (!c.stop.stop_requested()) {
    Candidate best;
    bool any = false;
    for (std::size_t i = 0; i < d->size(); ++i) {
      Candidate k;
      const double middle = middle_arc(c.loop, *d, i);
      if (std::any_of(tried.begin(), tried.end(), [&](double t) { return std::abs(c.loop.curve.way(t, middle)) < 1; }))
        continue;
      if (!is_seed(*d, i, context.intent, &k.vertical)) continue;
      k.segment = i, k.section = section_of(c.loop, *d, i);
      if (!best_run(c.loop, *d, !context.intent.vertical, &k)) {
        tried.push_back(middle);
        continue;
      }
      if (!any || k.run.length_px() > best.run.length_px()) best = k, any = true;
    }
    if (!any) break;
    const double middle = middle_arc(c.loop, *d, best.segment);
    if (!put_straight(context, best, false, d, &edits)) tried.push_back(middle);
  }
  for (std::size_t i = 0; i < d->size() && !c.stop.stop_requested(); ++i) {
    bool vertical = false;
    if (is_seed(*d, i, context.intent, &vertical) && !straighten_flat(context, i, vertical, d, &edits))
      straighten_side(context, i, vertical, d, &edits);
  }
  for (bool changed = true; changed && !c.stop.stop_requested();) {
    changed = false;  // an edit renumbers the nodes: each is looked at anew
    for (std::size_t i = 0; i < d->size() && !changed; ++i)
      for (const bool leaving : {true, false})
        changed = changed || (d->nodes[i].corner && square_off(context, i, leaving, d, &edits));
  }
  join_straights(context, d, &edits);
  return edits;
}

}  // namespace batten
