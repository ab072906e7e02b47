#include "refine/edit_draft.h"

#include <algorithm>

#include "fit/segment_data.h"
#include "minimise/fit_segment.h"
#include "minimise/split_segment.h"

namespace batten {
namespace {

// Removes `node`, one end of the short segment, and sees whether what is left holds.
bool try_merge(const EditContext& c, DraftLoop* d, std::size_t segment, std::size_t node) {
  const double before = local_error(c.loop, *d, Window::around(*d, segment, 2, 2)).max_px;
  const double chord = distance(d->nodes[segment].at, d->nodes[d->next(segment)].at);
  DraftLoop next = *d;
  DraftSegment& taken = next.segments[next.previous(node)];
  if (node == segment) {  // the segment before the short one is kept, the short one goes
    if (taken.straight) next.segments[node].end.handle_px = 0;
  } else if (next.segments[node].straight) {  // the straight behind the short segment is kept
    taken = next.segments[node];
  } else {
    taken.start.handle_px = next.segments[node].start.handle_px, taken.straight = false;
  }
  remove_node(&next, node);
  const std::size_t left = node == 0 ? next.size() - 1 : node - 1;
  if (next.segments[left].straight) next.segments[left].start.handle_px = next.segments[left].end.handle_px = 0;
  for (std::size_t k : {left, next.next(left)}) {
    DraftNode& j = next.nodes[k];
    if (!j.corner && touches_straight(next, k)) j.angle_fixed = false, j.reason = Reason::straight_end;
  }
  settle_angles(&next);
  if (!solve(c, &next, Window::around(next, left, 2, 2).flags())) return false;
  // A segment of half a pixel has no direction to speak of: its node goes even if that costs some of the tolerance.
  const double allowed = chord < 0.5 ? 2 * c.loop.limit_px : c.loop.limit_px;
  if (local_error(c.loop, next, Window::around(next, left, 2, 2)).max_px > std::max(allowed, 1.2 * before))
    return false;
  *d = std::move(next);
  return true;
}

// The draft with a segment, or with it and the next one as one stretch, divided into the fewest cubics that hold; only
// the new nodes move. Without nodes if it can't be held.
DraftLoop divided(const EditContext& c, const DraftLoop& d, std::size_t at, bool with_next) {
  DraftLoop next = d;
  if (with_next) {
    const std::size_t node = d.next(at);
    const DraftNode& j = d.nodes[node];
    if (j.corner || j.reason != Reason::added || touches_straight(d, node) || d.size() <= 2) return {};
    remove_node(&next, node);
    if (node == 0) --at;
    settle_angles(&next);
  }
  const int parts = split_segment(c.loop, &next, at, c.stop);
  const std::vector<char> freed = Window(next, at + 1, std::size_t(parts) - 1).flags();
  const auto held = [&] {
    return local_error(c.loop, next, Window(next, at, std::size_t(parts))).max_px <= c.loop.limit_px;
  };
  if (!held()) solve(c, &next, freed, {.rounds = 2});
  if (!held()) solve_minimax(c, &next, freed);
  return held() ? next : DraftLoop{};
}

// Puts the directions at node i that are nearly on an axis on it. Returns how many.
int snap_node(DraftLoop* d, std::size_t i) {
  int count = 0;
  DraftNode& j = d->nodes[i];
  if (!j.corner) {
    if (j.angle_fixed || touches_straight(*d, i) || off_axis_deg(j.angle) > snap_deg) return 0;
    j.angle = axis_angle(j.angle), j.angle_fixed = true;
    return 1;
  }
  DraftSegment &out = d->segments[i], &in = d->segments[d->previous(i)];
  if (!out.straight && !out.start.on_axis && off_axis_deg(out.start.angle_rad) <= snap_deg)
    out.start.angle_rad = axis_angle(out.start.angle_rad), out.start.on_axis = true, ++count;
  if (!in.straight && !in.end.on_axis && off_axis_deg(in.end.angle_rad) <= snap_deg)
    in.end.angle_rad = axis_angle(in.end.angle_rad), in.end.on_axis = true, ++count;
  return count;
}

}  // namespace

bool is_significant(const SpacedLoop& loop, double change_px3, double units) {
  constexpr double far_wider = 20;
  const double unit_px3 = loop.sigma_px * loop.sigma_px * 2 * loop.correlation_px;
  return loop.limit_px < far_wider * loop.sigma_px && change_px3 > units * unit_px3;
}

double turn_at_deg(const DraftLoop& d, std::size_t node) {
  return std::abs(degrees(wrap_angle(start_angle(d, node) - end_angle(d, d.previous(node)))));
}

bool solve(const EditContext& c, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options) {
  if (c.work) *c.work += options.rounds * (freed.empty() ? long(d->size()) : std::count(freed.begin(), freed.end(), 1));
  return solve_joint(c.loop, d, freed, options, c.stop);
}

bool uses_minimax(const SpacedLoop& loop) { return limit_beyond_noise(loop) && loop.exact(); }

bool solve_minimax(const EditContext& c, DraftLoop* d, const std::vector<char>& freed) {
  return uses_minimax(c.loop) && solve(c, d, freed, minimax_solve);
}

LocalError local_error(const SpacedLoop& loop, const DraftLoop& d, const Window& segments) {
  LocalError out;
  for (const std::size_t i : segments) {
    const SegmentError e = segment_error(loop, d, i);
    out.max_px = std::max(out.max_px, e.max_px);
    out.sum2 += e.sum2;
  }
  return out;
}

double deepest_poke_px(const DraftLoop& d, std::size_t segment) {
  double deepest = 0;
  for (const std::size_t i : Window::around(d, segment, 2, 2))
    if (!d.segments[i].straight) deepest = std::max(deepest, poke(cubic_of(d, i)).depth_px);
  return deepest;
}

bool removal_fits(const EditContext& c, const DraftLoop& d, std::size_t node, int removed, DraftLoop* next,
                  std::size_t segment) {
  constexpr double freed_numbers = 4;  // by each node that goes: its place across the outline, a direction, two handles
  // In limits, after one round of least squares: on pencil lines none of those farther off was held in the end; for
  // exact outlines 5 would save 0.3 % of the segments at 1 px and nothing at 0.5 and 2.
  constexpr double hopeless = 2.5;
  if (fit_segment(c.loop, next, segment) > 5 * c.loop.limit_px) return false;
  const std::vector<char> freed = Window::around(*next, segment, 2, 2).flags();
  const auto error = [&] { return local_error(c.loop, *next, Window::around(*next, segment, 2, 3)); };
  // One round tells most of those that can't do without the node.
  if (!solve(c, next, freed, {.rounds = 1}) || error().max_px > hopeless * c.loop.limit_px) return false;
  if (!solve(c, next, freed, {.rounds = 2})) return false;
  if (error().max_px > c.loop.limit_px &&
      !(solve_minimax(c, next, freed) && error().max_px <= c.minimax_share * c.loop.limit_px))
    return false;
  const std::size_t beside = std::size_t(2 + removed);
  const double was = local_error(c.loop, d, Window::around(d, node, beside, beside)).sum2;
  return !is_significant(c.loop, error().sum2 - was, freed_numbers * removed);
}

bool try_delete(const EditContext& c, DraftLoop* d, std::size_t node) {
  if (d->size() <= 2 || touches_straight(*d, node)) return false;
  DraftLoop next = *d;
  remove_node(&next, node);
  settle_angles(&next);
  const std::size_t segment = node == 0 ? next.size() - 1 : node - 1;
  if (!removal_fits(c, *d, node, 1, &next, segment)) return false;
  // A node along the axis stands for extremes too shallow for nodes of their own.
  const bool levels = c.extremes_required && d->nodes[node].angle_fixed;
  if (levels && deepest_poke_px(next, segment) > std::max(visible_poke_px, deepest_poke_px(*d, node))) return false;
  *d = std::move(next);
  return true;
}

double shortest_segment_px(const SpacedLoop& loop) { return std::max(1.5, 0.25 * loop.scale_px); }

bool merge_short(const EditContext& c, DraftLoop* d, std::size_t segment) {
  const std::size_t end = d->next(segment);
  if (d->size() <= 2 || distance(d->nodes[segment].at, d->nodes[end].at) >= shortest_segment_px(c.loop)) return false;
  const auto rank = [](const DraftNode& j) {
    return j.corner ? 3 : j.reason == Reason::added ? 0 : j.reason == Reason::straight_end ? 1 : 2;
  };
  const int first = rank(d->nodes[segment]), second = rank(d->nodes[end]);
  if (std::min(first, second) == 3) return false;  // a short side between corners is meant
  const std::size_t lesser = first <= second ? segment : end, other = lesser == segment ? end : segment;
  return try_merge(c, d, segment, lesser) || (std::max(first, second) < 3 && try_merge(c, d, segment, other));
}

bool repair_segment(const EditContext& c, DraftLoop* d, std::size_t segment) {
  const double before = segment_error(c.loop, *d, segment).max_px;
  if (before <= c.loop.limit_px) return false;
  const std::size_t from = d->previous(segment);
  if (before < mendable * c.loop.limit_px) {
    DraftLoop next = *d;
    // On a round of a few nodes every node must give a little; elsewhere the neighbours do.
    const std::size_t beside = d->size() <= 6 ? 3 : 1;
    const std::vector<char> freed = Window::around(next, segment, beside, beside).flags();
    if ((uses_minimax(c.loop) ? solve_minimax(c, &next, freed) : solve(c, &next, freed, {.rounds = 2, .power = 4})) &&
        local_error(c.loop, next, Window(next, from, std::max<std::size_t>(4, beside * 2))).max_px <= c.loop.limit_px) {
      *d = std::move(next);
      return true;
    }
  }
  if (stretch_px(c.loop, *d, segment) < std::max(6.0, 1.2 * c.loop.scale_px)) return false;
  DraftLoop next = *d;
  const int parts = split_segment(c.loop, &next, segment, c.stop);
  const std::size_t beside = std::size_t(parts + 1);
  if (!solve(c, &next, Window::around(next, segment + std::size_t(parts) / 2, beside, beside).flags())) return false;
  if (local_error(c.loop, next, Window(next, from, std::size_t(parts) + 2)).max_px >= before) return false;
  *d = std::move(next);
  return true;
}

bool try_divide(const EditContext& c, DraftLoop* d, std::size_t segment) {
  if (d->segments[segment].straight || segment_error(c.loop, *d, segment).max_px <= c.loop.limit_px) return false;
  DraftLoop best;
  for (const auto& [at, with_next] :
       {std::pair{segment, false}, std::pair{segment, true}, std::pair{d->previous(segment), true}}) {
    DraftLoop next = divided(c, *d, at, with_next);
    if (next.size() > 0 && (best.size() == 0 || next.size() < best.size())) best = std::move(next);
  }
  if (best.size() == 0) return false;
  *d = std::move(best);
  return true;
}

bool smooth_weak_corner(const EditContext& c, DraftLoop* d, std::size_t node, double least_deg) {
  DraftNode& j = d->nodes[node];
  if (!j.corner || is_line_end(*d, node) || turn_at_deg(*d, node) >= least_deg) return false;
  const std::size_t before = d->previous(node);
  const bool line_in = d->segments[before].straight, line_out = d->segments[node].straight;
  if (line_in && line_out) {  // two straights, hardly a turn: one of them gives way
    if (d->size() <= 2) return false;
    const DraftNode &a = d->nodes[before], &b = d->nodes[d->next(node)];
    const std::size_t shorter = distance(a.at, j.at) < distance(j.at, b.at) ? before : node;
    make_cubic(d, shorter);
  }
  j.angle = angle_of(direction(start_angle(*d, node)) + direction(end_angle(*d, before)));
  j.corner = false;
  j.reason = touches_straight(*d, node) ? Reason::straight_end : Reason::added;
  settle_angles(d);
  solve(c, d, Window::around(*d, node, 2, 2).flags());
  return true;
}

double straight_tolerance_px(const SpacedLoop& loop) {
  if (loop.held_finer()) return loop.limit_px;
  return std::max(loop.tolerance_px, 1.4 * std::min(loop.limit_px, 2.6 * loop.sigma_px));
}

int snap_handles(DraftLoop* d) {
  int count = 0;
  for (std::size_t i = 0; i < d->size(); ++i) count += snap_node(d, i);
  settle_angles(d);
  return count;
}

bool snap_where_held(const EditContext& c, DraftLoop* d) {
  bool changed = false;
  for (std::size_t i = 0; i < d->size() && !c.stop.stop_requested(); ++i) {
    DraftLoop next = *d;
    if (snap_node(&next, i) == 0) continue;
    settle_angles(&next);
    if (!solve(c, &next, Window::around(next, i, 1, 1).flags(), {.rounds = 2, .power = 4, .iterations = 6})) continue;
    if (local_error(c.loop, next, Window::around(next, i, 2, 1)).max_px > c.loop.limit_px) continue;
    *d = std::move(next);
    changed = true;
  }
  return changed;
}

}  // namespace batten
