#include "straighten/turn_straights.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "straighten/straight_edits.h"

namespace batten {
namespace {

// A segment whose chord is farther from an axis than this was not meant to lie on it, nor is one looked for there.
constexpr double seed_deg = 12;
// A lean larger than this many of its standard deviations, the hand's own error among them, is taken as intended: of
// straights beyond it 10 in 54 were drawn on an axis, of those between one and two 98 in 132 (outlines of twelve open
// fonts drawn with a pencil).
constexpr double largest_tilt_sds = 2.2, hand_deg = 0.3;
// What a run with free ends may gain when its offset grows by 2.5: a straight gains its overhang, an arc 0.58.
constexpr double largest_growth = 0.27;
// A run with a larger offset takes the place of one with a smaller where it is longer by as much.
constexpr double worthwhile_gain = 1.25;
// Least length of a run with free ends in band widths, in letters that lean: those are drawn from the wrist and have
// flat arches instead of level straights (common practice, no source).
constexpr double shortest_leaning_in_bands = 10;

std::vector<double> run_offsets_px(const SpacedLoop& loop) {
  std::vector<double> out;
  for (const double sigmas : {0.7, usual_sigmas, 2.2, 3.2}) out.push_back(run_offset_px(loop, sigmas));
  out.push_back(largest_run_offset_px(loop));
  return out;
}

// Is a run as straight as it is level or vertical? An arc grows by 1.58 when the offset grows by 2.5, half of it at
// either free end; a run between two corners can't grow and is judged by its bow alone. side_px: the run and what lies
// between it and the corners it reaches, where points are not to be trusted.
bool straight_enough(const SpacedLoop& loop, const AxisRun& r, double side_px, int free_ends, bool leaning) {
  const double bands = free_ends > 0 && leaning ? shortest_leaning_in_bands : shortest_in_bands[free_ends];
  if (side_px < std::max(shortest_side_px, bands * loop.band_px)) return false;
  if (std::abs(r.tilt_deg) > largest_tilt_deg || leans_on_purpose(loop, r.tilt_deg, r.length_px())) return false;
  if (free_ends > 0 && r.growth - 1 > largest_growth) return false;
  return std::abs(r.bow_px) < std::max(0.15, 2 * bow_sd_px(loop, r.length_px()));
}

// Finds the run through a segment that is as straight as it is level or vertical: with the smallest offset that will
// do, unless a larger one gains a good deal. Sets the candidate's run, or returns false.
bool find_best_run(const SpacedLoop& loop, const DraftLoop& d, bool leaning, StraightCandidate* best) {
  const SmoothSection s = best->section;
  const std::size_t segment = best->segment, end = d.next(segment);
  const double from = s.low + loop.curve.ahead(s.low, d.nodes[segment].arc);
  const double own_px = loop.curve.ahead(d.nodes[segment].arc, d.nodes[end].arc);
  const double chord_off_deg = off_axis_deg(angle_of(d.nodes[end].at - d.nodes[segment].at));
  const bool straight = d.segments[segment].straight;
  bool found = false;
  for (const double offset_px : run_offsets_px(loop))
    for (const double share : {0.5, 0.3, 0.7, 0.1, 0.9}) {
      StraightCandidate c = *best;
      find_run(loop, std::clamp(from + share * own_px, s.trusted_low, s.trusted_high), offset_px, &c);
      const bool smooth_low = c.from_barrier && !s.corner_low, smooth_high = c.to_barrier && !s.corner_high;
      if (straight && (smooth_low || smooth_high)) continue;
      // Between two straights that run smoothly on into one another lies a curve: room for it.
      if (smooth_low) c.run.from += 2 * loop.scale_px, c.from_barrier = false;
      if (smooth_high) c.run.to -= 2 * loop.scale_px, c.to_barrier = false;
      const double side_px = (c.to_barrier ? s.high : c.run.to) - (c.from_barrier ? s.low : c.run.from);
      if (!straight_enough(loop, c.run, side_px, int(!c.from_barrier) + int(!c.to_barrier), leaning)) continue;
      if (c.from_barrier && c.to_barrier && chord_off_deg > largest_tilt_deg) continue;
      // A straight that begins at a corner is not cut short of it.
      if (straight && ((s.corner_low && s.first == segment && !c.from_barrier) ||
                       (s.corner_high && s.last == end && !c.to_barrier)))
        continue;
      if (found && c.run.length_px() < worthwhile_gain * best->run.length_px()) continue;
      *best = c, found = true;
    }
  if (found) trim_overhang(best, 0.5, 0.25);  // half: with two free ends the growth tells less of either
  return found;
}

// Was a segment meant to lie on an axis, and on which? True: vertical. Nothing where it lies on one already.
std::optional<bool> meant_to_be_vertical(const DraftLoop& d, std::size_t i, const AxisIntent& intent) {
  const double angle = angle_of(d.nodes[d.next(i)].at - d.nodes[i].at);
  if (on_axis(d.segments[i]) || off_axis_deg(angle) > seed_deg) return std::nullopt;
  const bool vertical = std::abs(std::sin(angle)) > 0.5;
  return (vertical ? intent.vertical : intent.level) ? std::optional(vertical) : std::nullopt;
}

// Turns the straight as it stands onto its axis.
bool try_turn(const StraightenContext& context, std::size_t segment, bool vertical, LoopStraightening* work) {
  const SpacedLoop& loop = context.edit.loop;
  DraftLoop next = work->draft;
  const DraftNode &a = next.nodes[segment], &b = next.nodes[next.next(segment)];
  if (off_axis_deg(angle_of(b.at - a.at)) > largest_tilt_deg) return false;
  const double length_px = loop.curve.ahead(a.arc, b.arc);
  const double from = a.arc + corner_zone_px(a, length_px), to = a.arc + length_px - corner_zone_px(b, length_px);
  if (leans_on_purpose(loop, tilt_of_run_deg(loop, vertical, from, to), to - from)) return false;
  (vertical ? next.segments[segment].vertical : next.segments[segment].level) = true;
  for (const std::size_t neighbour_count : {3, 1})  // what lies beside it stays as it is, if need be
    if (try_straight(context, segment, neighbour_count, 0, next, work)) return true;
  return false;
}

// Puts the longest run of all segments in, then of those that are left.
void straighten_runs(const StraightenContext& context, LoopStraightening* work) {
  const SpacedLoop& loop = context.edit.loop;
  const DraftLoop& d = work->draft;
  std::vector<double> failed;  // middles of segments that led nowhere
  while (!context.edit.stop.stop_requested()) {
    std::optional<StraightCandidate> best;
    for (std::size_t i = 0; i < d.size(); ++i) {
      const double middle = middle_arc(loop, d, i);
      const auto is_near = [&](double arc) { return std::abs(loop.curve.signed_arc_px(arc, middle)) < 1; };
      if (std::any_of(failed.begin(), failed.end(), is_near)) continue;
      const std::optional<bool> vertical = meant_to_be_vertical(d, i, context.intent);
      if (!vertical) continue;
      StraightCandidate c{{}, *vertical, i, section_of(loop, d, i)};
      if (!find_best_run(loop, d, !context.intent.vertical, &c))
        failed.push_back(middle);
      else if (!best || c.run.length_px() > best->run.length_px())
        best = c;
    }
    if (!best) return;
    const double middle = middle_arc(loop, d, best->segment);
    if (!put_straight(context, *best, false, work)) failed.push_back(middle);
  }
}

// Tries an edit at each node in turn until there is none left that it changes; one renumbers the nodes.
template <class TryEdit>
void repeat_until_none(const StraightenContext& context, const DraftLoop& d, TryEdit&& try_edit) {
  for (std::size_t i = 0; i < d.size() && !context.edit.stop.stop_requested();) i = try_edit(i) ? 0 : i + 1;
}

}  // namespace

bool leans_on_purpose(const SpacedLoop& loop, double tilt_deg, double length_px) {
  return std::abs(tilt_deg) > largest_tilt_sds * std::hypot(tilt_sd_deg(loop, length_px), hand_deg);
}

LoopStraightening straighten_loop(const StraightenContext& context, DraftLoop drafted) {
  LoopStraightening work{std::move(drafted), {}};
  const DraftLoop& draft = work.draft;
  const std::stop_token& stop = context.edit.stop;
  for (std::size_t i = 0; i < draft.size() && !stop.stop_requested(); ++i)
    if (const auto vertical = meant_to_be_vertical(draft, i, context.intent); vertical && draft.segments[i].straight)
      try_turn(context, i, *vertical, &work);
  straighten_runs(context, &work);
  for (std::size_t i = 0; i < draft.size() && !stop.stop_requested(); ++i)
    if (const auto vertical = meant_to_be_vertical(draft, i, context.intent))
      if (!straighten_flat(context, i, *vertical, &work)) straighten_side(context, i, *vertical, &work);
  repeat_until_none(context, draft, [&](std::size_t i) {
    return draft.nodes[i].corner && (square_off(context, i, true, &work) || square_off(context, i, false, &work));
  });
  repeat_until_none(context, draft, [&](std::size_t i) { return join_straight(context, i, &work); });
  return work;
}

}  // namespace batten
