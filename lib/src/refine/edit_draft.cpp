#include "refine/edit_draft.h"

#include <algorithm>

#include "fit/segment_data.h"
#include "minimise/fit_segment.h"
#include "minimise/split_segment.h"

namespace batten {
namespace {

// Removes `node`, one end of the short segment, and sees whether what is left holds.
bool try_merge(const EditContext& c, DraftLoop* d, std::size_t segment, std::size_t node) {
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
  const Window was = Window::around(*d, segment, 2, 2), is = Window::around(next, left, 2, 2);
  const Allowance allowed = chord < 0.5 ? allowance::merge_to_nothing : allowance::merge;
  return try_edit(c, {std::move(next), was, is, is.flags(), steps::usual, allowed}, d);
}

// The draft with a segment, or with it and the next one as one stretch, divided into the fewest cubics that hold; only
// the new nodes move. Nothing if it can't be held.
std::optional<DraftLoop> divided(const EditContext& c, const DraftLoop& d, std::size_t at, bool with_next) {
  DraftLoop next = d;
  if (with_next) {
    const std::size_t node = d.next(at);
    const DraftNode& j = d.nodes[node];
    if (j.corner || j.reason != Reason::added || touches_straight(d, node) || d.size() <= 2) return std::nullopt;
    remove_node(&next, node);
    if (node == 0) --at;
    settle_angles(&next);
  }
  const auto parts = std::size_t(split_segment(c.loop, &next, at, c.stop));
  const Window is(next, at, parts);
  std::vector<char> freed = Window(next, at + 1, parts - 1).flags();
  return judge_edit(c, d, {std::move(next), is, is, std::move(freed), steps::division, allowance::hold});
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

double turn_at_deg(const DraftLoop& d, std::size_t node) {
  return std::abs(degrees(wrap_angle(start_angle(d, node) - end_angle(d, d.previous(node)))));
}

double deepest_poke_px(const DraftLoop& d, std::size_t segment) {
  double deepest = 0;
  for (const std::size_t i : Window::around(d, segment, 2, 2))
    if (!d.segments[i].straight) deepest = std::max(deepest, poke(cubic_of(d, i)).depth_px);
  return deepest;
}

bool try_removal(const EditContext& c, std::size_t node, bool levels, Removal removal, DraftLoop* d) {
  DraftLoop& next = removal.next;
  const std::size_t segment = removal.segment;
  settle_angles(&next);
  if (fit_segment(c.loop, &next, segment) > 5 * c.loop.limit_px) return false;
  const auto beside = std::size_t(2 + removal.removed);
  const Window was = Window::around(*d, node, beside, beside), is = Window::around(next, segment, 2, 3);
  Allowance allowed = allowance::removal;
  allowed.draws *= removal.removed;
  std::vector<char> freed = Window::around(next, segment, 2, 2).flags();
  EditCandidate edit{std::move(next), was, is, std::move(freed), steps::removal, allowed, 0, c.minimax_share};
  if (levels)
    edit.keeps_promise = [&](const DraftLoop& solved) {
      return deepest_poke_px(solved, segment) <= std::max(visible_poke_px, deepest_poke_px(*d, node));
    };
  return try_edit(c, std::move(edit), d);
}

bool try_delete(const EditContext& c, DraftLoop* d, std::size_t node) {
  if (d->size() <= 2 || touches_straight(*d, node)) return false;
  Removal removal{*d, node == 0 ? d->size() - 2 : node - 1, 1};
  remove_node(&removal.next, node);
  // A node along the axis stands for extremes too shallow for nodes of their own.
  return try_removal(c, node, c.extremes_required && d->nodes[node].angle_fixed, std::move(removal), d);
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
    // On a round of a few nodes every node must give a little; elsewhere the neighbours do.
    const std::size_t beside = d->size() <= 6 ? 3 : 1;
    const Window is(*d, from, std::max<std::size_t>(4, beside * 2));
    std::vector<char> freed = Window::around(*d, segment, beside, beside).flags();
    std::span<const SolveStep> how = steps::repair;
    if (uses_minimax(c.loop)) how = steps::repair_exact;
    if (try_edit(c, {*d, is, is, std::move(freed), how, allowance::hold}, d)) return true;
  }
  if (stretch_px(c.loop, *d, segment) < std::max(6.0, 1.2 * c.loop.scale_px)) return false;
  DraftLoop next = *d;
  const auto parts = std::size_t(split_segment(c.loop, &next, segment, c.stop));
  const Window is(next, from, parts + 2);
  std::vector<char> freed = Window::around(next, segment + parts / 2, parts + 1, parts + 1).flags();
  return try_edit(c, {std::move(next), Window(*d, segment, 1), is, std::move(freed), steps::usual, allowance::nearer},
                  d);
}

bool try_divide(const EditContext& c, DraftLoop* d, std::size_t segment) {
  if (d->segments[segment].straight || segment_error(c.loop, *d, segment).max_px <= c.loop.limit_px) return false;
  std::optional<DraftLoop> best;
  for (const auto& [at, with_next] :
       {std::pair{segment, false}, std::pair{segment, true}, std::pair{d->previous(segment), true}}) {
    std::optional<DraftLoop> next = divided(c, *d, at, with_next);
    if (next && (!best || next->size() < best->size())) best = std::move(next);
  }
  if (!best) return false;
  *d = std::move(*best);
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
    const Window is = Window::around(next, i, 2, 1);
    std::vector<char> freed = Window::around(next, i, 1, 1).flags();
    changed |= try_edit(c, {std::move(next), is, is, std::move(freed), steps::snap, allowance::hold}, d);
  }
  return changed;
}

}  // namespace batten
