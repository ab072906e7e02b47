#include "straighten/put_straight.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "fit/segment_data.h"
#include "minimise/fit_segment.h"
#include "refine/enforce_extremum.h"
#include "refine/solve_joint.h"
#include "straighten/edit_limits.h"

namespace batten {
namespace {

DraftNode end_node(const SpacedLoop& loop, const StraightCandidate& c, double arc) {
  DraftNode node;
  const Point p = loop.curve.at(arc);
  node.at = node.anchor = c.vertical ? Point{c.run.at_px, p.y} : Point{p.x, c.run.at_px};
  node.arc = loop.curve.wrap(arc);
  node.reason = Reason::straight_end;
  return node;
}

// May a node beside the candidate give way to it?
bool may_go(const SpacedLoop& loop, const DraftLoop& d, const StraightCandidate& c, std::size_t i) {
  const DraftNode& node = d.nodes[i];
  if (node.corner) return false;
  const bool extreme = node.reason != Reason::added && node.reason != Reason::straight_end;
  const double gap_px = std::min(std::abs(loop.curve.signed_arc_px(c.run.from, node.arc)),
                                 std::abs(loop.curve.signed_arc_px(c.run.to, node.arc)));
  if (extreme && gap_px > loop.scale_px) return false;
  const auto other_straight = [&](std::size_t segment) { return segment != c.segment && d.segments[segment].straight; };
  return !other_straight(i) && !other_straight(d.previous(i));
}

// The straight put in as segment 0: nodes inside its run go; the smooth node beside either end gives way too where
// asked.
DraftLoop with_straight(const SpacedLoop& loop, const DraftLoop& d, const StraightCandidate& c, bool drop_before,
                        bool drop_after) {
  const double from = c.from_barrier ? c.section.low : c.run.from, to = c.to_barrier ? c.section.high : c.run.to;
  const double length = loop.curve.length_px(), room = 0.5 * shortest_segment_px(loop);
  const auto unwrapped = [&](std::size_t i) { return from + loop.curve.ahead(from, d.nodes[i].arc); };
  // Walk once round from the first node behind the run.
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const bool is_end = (c.from_barrier && i == c.section.first) || (c.to_barrier && i == c.section.last);
    if (!is_end && unwrapped(i) > to + room && unwrapped(i) < from + length - room) kept.push_back(i);
  }
  std::sort(kept.begin(), kept.end(), [&](std::size_t a, std::size_t b) { return unwrapped(a) < unwrapped(b); });
  if (drop_after && !c.to_barrier && !kept.empty() && may_go(loop, d, c, kept.front())) kept.erase(kept.begin());
  if (drop_before && !c.from_barrier && !kept.empty() && may_go(loop, d, c, kept.back())) kept.pop_back();
  DraftSegment straight;
  straight.straight = true, straight.vertical = c.vertical, straight.level = !c.vertical;
  DraftLoop out;
  out.nodes = {c.from_barrier ? d.nodes[c.section.first] : end_node(loop, c, c.run.from),
               c.to_barrier ? d.nodes[c.section.last] : end_node(loop, c, c.run.to)};
  out.segments = {straight, DraftSegment{}};
  for (const std::size_t i : kept) {
    out.nodes.push_back(d.nodes[i]);
    out.segments.push_back(d.segments[i]);
  }
  if (c.to_barrier) {
    out.segments[1] = d.segments[c.section.last];
  } else if (!kept.empty()) {
    // The segment that leaves the straight ends where the segment before kept.front() ended.
    const SegmentEnd& old = d.segments[d.previous(kept.front())].end;
    out.segments[1].end.angle_rad = old.angle_rad, out.segments[1].end.on_axis = old.on_axis;
  }
  return out;
}

// Handles of the segments beside the straight, from their own stretch of loop.
void fit_beside(const SpacedLoop& loop, DraftLoop* d) {
  const std::size_t beside[] = {1, d->size() - 1};
  for (const std::size_t i : beside) {
    DraftSegment& segment = d->segments[i];
    if (segment.straight) continue;
    const DraftNode &a = d->nodes[i], &b = d->nodes[d->next(i)];
    const double length_px = loop.curve.ahead(a.arc, b.arc);
    segment.start.handle_px = segment.end.handle_px = distance(a.at, b.at) / 3;
    if (a.corner && !segment.start.on_axis) segment.start.angle_rad = arm_at(loop, a, length_px, true).angle;
    if (b.corner && !segment.end.on_axis) segment.end.angle_rad = arm_at(loop, b, length_px, false).angle;
  }
  settle_angles(d);
  for (const std::size_t i : beside) fit_segment(loop, d, i);
  settle_angles(d);
}

double all_sum2(const SpacedLoop& loop, const DraftLoop& d) {
  double sum = 0;
  for (std::size_t i = 0; i < d.size(); ++i) sum += square_sum_px3(loop, d, i);
  return sum;
}

// The straight as an edit; it moved by its largest distance from the outline as it was, at places along it.
AxisEdit edit_of(const SpacedLoop& loop, const DraftLoop& before, const DraftLoop& after, std::size_t straight) {
  AxisEdit edit{after.segments[straight].vertical, middle_arc(loop, after, straight), 0};
  const Cubic line = cubic_of(after, straight);
  for (int k = 0; k <= 8; ++k) edit.moved_px = std::max(edit.moved_px, distance_px(before, evaluate(line, k / 8.0)));
  return edit;
}

}  // namespace

bool on_axis(const DraftSegment& segment) { return segment.straight && (segment.level || segment.vertical); }

double largest_run_offset_px(const SpacedLoop& loop) { return 0.95 * straight_tolerance_px(loop); }

double run_offset_px(const SpacedLoop& loop, double sigmas) {
  return std::min(0.15 + sigmas * loop.sigma_px, largest_run_offset_px(loop));
}

double corner_zone_px(const DraftNode& end, double length_px) {
  return end.corner ? std::min(end.zone_px, 0.3 * length_px) : 0;
}

SmoothSection section_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  SmoothSection s;
  s.first = segment, s.last = d.next(segment);
  const auto other_straight = [&](std::size_t i) { return i != segment && d.segments[i].straight; };
  const auto barrier = [&](std::size_t i) {
    return d.nodes[i].corner || other_straight(i) || other_straight(d.previous(i));
  };
  for (std::size_t k = 0; k < d.size() && !barrier(s.first); ++k) s.first = d.previous(s.first);
  for (std::size_t k = 0; k < d.size() && !barrier(s.last); ++k) s.last = d.next(s.last);
  s.whole = !barrier(s.first);
  const DraftNode &first = d.nodes[s.first], &last = d.nodes[s.last];
  const double arc = d.nodes[segment].arc;
  s.low = s.first == segment ? arc : arc - loop.curve.ahead(first.arc, arc);
  double length_px = loop.curve.ahead(s.low, last.arc);
  if (length_px <= loop.curve.ahead(s.low, arc)) length_px += loop.curve.length_px();
  if (s.whole) length_px = loop.curve.length_px();
  s.high = s.low + length_px;
  s.corner_low = first.corner, s.corner_high = last.corner;
  s.trusted_low = s.low + corner_zone_px(first, s.high - s.low);
  s.trusted_high = s.high - corner_zone_px(last, s.high - s.low);
  return s;
}

void find_run(const SpacedLoop& loop, double seed_arc, double offset_px, StraightCandidate* candidate) {
  const SmoothSection& s = candidate->section;
  const double near_px = std::max(3.0, 0.5 * loop.scale_px);
  candidate->run = axis_run(loop, candidate->vertical, s.trusted_low, s.trusted_high, seed_arc, offset_px);
  candidate->from_barrier = !s.whole && candidate->run.from - s.trusted_low < near_px;
  candidate->to_barrier = !s.whole && s.trusted_high - candidate->run.to < near_px;
}

void trim_overhang(StraightCandidate* candidate, double share, double most) {
  AxisRun& run = candidate->run;
  const double most_px = most * run.length_px();
  if (!candidate->from_barrier) run.from += std::clamp(share * run.over_from_px, 0.0, most_px);
  if (!candidate->to_barrier) run.to -= std::clamp(share * run.over_to_px, 0.0, most_px);
}

double distance_px(const DraftLoop& outline, Point place) {
  double nearest = 1e300;
  for (std::size_t i = 0; i < outline.size(); ++i)
    nearest = std::min(nearest, distance(place, FootFinder(cubic_of(outline, i)).foot(place).at));
  return nearest;
}

double middle_arc(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  const double from = d.nodes[segment].arc;
  return loop.curve.wrap(from + 0.5 * loop.curve.ahead(from, d.nodes[d.next(segment)].arc));
}

EditCandidate straight_edit(const EditContext& context, const DraftLoop& before, DraftLoop next, std::size_t straight,
                            std::size_t neighbour_count) {
  const Window was = Window::around(before, straight, 3, 3), is = Window::around(next, straight, 3, 3);
  std::vector<char> freed = Window::around(next, straight, neighbour_count, neighbour_count).flags();
  std::span<const SolveStep> how = steps::straight;
  if (uses_minimax(context.loop)) how = steps::straight_exact;
  return {std::move(next), was, is, std::move(freed), how, allowance::straight, straight_tolerance_px(context.loop)};
}

bool rest_holds(const SpacedLoop& loop, const DraftLoop& before, const DraftLoop& after, std::size_t straight) {
  const double sigma_px = std::max(loop.sigma_px, 0.03);
  constexpr double price = 2;  // of one number, by Akaike's criterion (1974)
  const double most_rise_px3 = price * 2 * loop.correlation_px * sigma_px * sigma_px;
  return all_sum2(loop, after) - square_sum_px3(loop, after, straight) <= all_sum2(loop, before) + most_rise_px3;
}

void accept(const SpacedLoop& loop, std::size_t straight, DraftLoop next, LoopStraightening* work) {
  work->edits.push_back(edit_of(loop, work->draft, next, straight));
  work->draft = std::move(next);
}

bool try_straight(const StraightenContext& context, std::size_t straight, std::size_t neighbour_count,
                  double shortest_px, DraftLoop next, LoopStraightening* work) {
  const DraftLoop& d = work->draft;
  EditCandidate edit = straight_edit(context.edit, d, std::move(next), straight, neighbour_count);
  edit.allowance = allowance::straight_for_what_was;
  edit.keeps_promise = [&](const DraftLoop& solved) {
    return distance(solved.nodes[straight].at, solved.nodes[solved.next(straight)].at) >= shortest_px &&
           rest_holds(context.edit.loop, d, solved, straight) && context.holds(d, solved);
  };
  std::optional<DraftLoop> solved = judge_edit(context.edit, d, std::move(edit));
  if (solved) accept(context.edit.loop, straight, std::move(*solved), work);
  return solved.has_value();
}

bool put_straight(const StraightenContext& context, const StraightCandidate& candidate, bool no_worse,
                  LoopStraightening* work) {
  const EditContext& c = context.edit;
  const DraftLoop& d = work->draft;
  const double least_px = std::max(shortest_side_px, 0.6 * candidate.run.length_px());
  for (const auto& [drop_before, drop_after] :
       {std::pair(true, true), std::pair(true, false), std::pair(false, true), std::pair(false, false)}) {
    DraftLoop next = with_straight(c.loop, d, candidate, drop_before, drop_after);
    if (next.size() < 3 || next.size() > d.size() + 1) continue;
    fit_beside(c.loop, &next);
    if (c.stop.stop_requested()) return false;
    EditCandidate in_place = straight_edit(c, d, std::move(next), 0, 3);
    in_place.keeps_promise = [&](const DraftLoop& n) { return distance(n.nodes[0].at, n.nodes[1].at) >= least_px; };
    std::optional<DraftLoop> solved = judge_edit(c, d, std::move(in_place));
    if (!solved) continue;
    next = std::move(*solved);
    const AxisEdit edit = edit_of(c.loop, d, next, 0);
    if (c.extremes_required)
      for (const std::size_t beside : {next.size() - 1, std::size_t(1)}) enforce_extremum(c, &next, beside);
    if (next.size() > d.size() + 1 || !rest_holds(c.loop, d, next, 0)) continue;
    if (no_worse && all_sum2(c.loop, next) > all_sum2(c.loop, d)) continue;
    if (!context.holds(d, next)) continue;
    work->edits.push_back(edit);
    work->draft = std::move(next);
    return true;
  }
  return false;
}

}  // namespace batten
