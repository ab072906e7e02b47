#include "edit_draft.h"

#include <algorithm>

#include "minimise_segments.h"
#include "piece_data.h"
#include "place_nodes.h"

namespace batten {

bool beyond_noise(const SpacedLoop& loop, double change_px3, double units) {
  constexpr double far_wider = 20;
  const double unit_px3 = loop.sigma_px * loop.sigma_px * 2 * loop.correlation_px;
  return loop.limit_px < far_wider * loop.sigma_px && change_px3 > units * unit_px3;
}

double turn_at_deg(const DraftLoop& d, std::size_t joint) {
  return std::abs(degrees(wrap_angle(start_angle(d, joint) - end_angle(d, d.previous(joint)))));
}

bool touches_straight(const DraftLoop& d, std::size_t joint) {
  return d.pieces[joint].straight || d.pieces[d.previous(joint)].straight;
}

bool solve(const EditContext& c, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options) {
  if (c.work) *c.work += options.rounds * (freed.empty() ? long(d->size()) : std::count(freed.begin(), freed.end(), 1));
  return solve_joint(c.loop, d, freed, options, c.stop);
}

bool minimax_decides(const SpacedLoop& loop) {
  return limit_beyond_noise(loop) && loop.exact();
}

bool solve_minimax(const EditContext& c, DraftLoop* d, const std::vector<char>& freed) {
  return minimax_decides(c.loop) && solve(c, d, freed, minimax_solve);
}

void remove_joint(DraftLoop* d, std::size_t joint) {
  // The piece before takes over the end of the piece after.
  Piece& before = d->pieces[d->previous(joint)];
  const Piece& after = d->pieces[joint];
  before.h1 = after.h1 * 1.5, before.h0 *= 1.5;
  before.a1 = after.a1, before.fixed1 = after.fixed1;
  d->joints.erase(d->joints.begin() + std::ptrdiff_t(joint));
  d->pieces.erase(d->pieces.begin() + std::ptrdiff_t(joint));
}

LocalError local_error(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t count) {
  LocalError out;
  count = std::min(count, d.size());
  for (std::size_t k = 0; k < count; ++k) {
    const PieceError e = piece_error(loop, d, (first + k) % d.size());
    out.max_px = std::max(out.max_px, e.max_px);
    out.sum2 += e.sum2;
  }
  return out;
}

std::vector<char> freed_round(const DraftLoop& d, std::size_t centre, std::size_t reach) {
  std::vector<char> freed(d.size(), 0);
  for (std::size_t k = 0; k <= 2 * reach; ++k) freed[(centre + d.size() * 8 + k - reach) % d.size()] = 1;
  return freed;
}

double deepest_poke_px(const DraftLoop& d, std::size_t piece) {
  double deepest = 0;
  for (std::size_t k = 0, i = d.previous(d.previous(piece)); k < 5; ++k, i = d.next(i))
    if (!d.pieces[i].straight) deepest = std::max(deepest, poke(cubic_of(d, i)).depth_px);
  return deepest;
}

bool hold_without(const EditContext& c, const DraftLoop& d, std::size_t joint, int removed, DraftLoop* next,
                  std::size_t piece) {
  constexpr double freed_numbers = 4;  // by each node that goes: its place across the outline, a direction, two handles
  // Limits after one round of least squares: on pencil lines none of those was held in the end; of exact outlines 5 would
  // save 0.3 % of the segments at 1 px and nothing at 0.5 and 2.
  constexpr double hopeless = 2.5;
  if (fit_piece(c.loop, next, piece, false) > 5 * c.loop.limit_px) return false;
  const std::vector<char> freed = freed_round(*next, piece, 2);
  const std::size_t from = (piece + 2 * next->size() - 2) % next->size();
  const auto worst_px = [&] { return local_error(c.loop, *next, from, 6).max_px; };
  // One round tells most of those that can't do without the node.
  if (!solve(c, next, freed, {1, 2, 8}) || worst_px() > hopeless * c.loop.limit_px) return false;
  if (!solve(c, next, freed, {2, 2, 8})) return false;
  if (worst_px() > c.loop.limit_px && !(solve_minimax(c, next, freed) && worst_px() <= c.minimax_share * c.loop.limit_px)) return false;
  const std::size_t reach = std::size_t(2 + removed);
  const double was = local_error(c.loop, d, (joint + reach * d.size() - reach) % d.size(), 2 * reach + 1).sum2;
  return !beyond_noise(c.loop, local_error(c.loop, *next, from, 6).sum2 - was, freed_numbers * removed);
}

bool try_delete(const EditContext& c, DraftLoop* d, std::size_t joint) {
  if (d->size() <= 2 || touches_straight(*d, joint)) return false;
  DraftLoop next = *d;
  remove_joint(&next, joint);
  settle_angles(&next);
  const std::size_t piece = joint == 0 ? next.size() - 1 : joint - 1;
  if (!hold_without(c, *d, joint, 1, &next, piece)) return false;
  // A node along the axis stands for extremes too shallow for nodes of their own.
  const bool levels = c.extremes_required && d->joints[joint].angle_fixed;
  if (levels && deepest_poke_px(next, piece) > std::max(visible_poke_px, deepest_poke_px(*d, joint))) return false;
  *d = std::move(next);
  return true;
}

double shortest_piece_px(const SpacedLoop& loop) { return std::max(1.5, 0.25 * loop.scale_px); }

namespace {
// Remove `joint`, one end of the short piece, and see whether what is left holds.
bool try_merge(const EditContext& c, DraftLoop* d, std::size_t piece, std::size_t joint) {
  const std::size_t from = (piece + 2 * d->size() - 2) % d->size();
  const double before = local_error(c.loop, *d, from, 5).max_px;
  const double chord = distance(d->joints[piece].at, d->joints[d->next(piece)].at);
  DraftLoop next = *d;
  Piece& taken = next.pieces[next.previous(joint)];
  if (joint == piece) {  // the piece before the short one is kept, the short one goes
    if (taken.straight) next.pieces[joint].h1 = 0;
  } else if (next.pieces[joint].straight) {  // the straight behind the short piece is kept
    taken = next.pieces[joint];
  } else {
    taken.h0 = next.pieces[joint].h0, taken.straight = false;
  }
  remove_joint(&next, joint);
  if (taken.straight) taken.h0 = taken.h1 = 0;
  const std::size_t left = joint == 0 ? next.size() - 1 : joint - 1;
  for (std::size_t k : {left, next.next(left)}) {
    Joint& j = next.joints[k];
    if (!j.corner && touches_straight(next, k)) j.angle_fixed = false, j.reason = Reason::straight_end;
  }
  settle_angles(&next);
  if (!solve(c, &next, freed_round(next, left, 2), {3, 2, 8})) return false;
  // A piece of half a pixel has no direction to speak of: its node goes even if that costs some of the tolerance.
  const double allowed = chord < 0.5 ? 2 * c.loop.limit_px : c.loop.limit_px;
  if (local_error(c.loop, next, (left + 2 * next.size() - 2) % next.size(), 5).max_px > std::max(allowed, 1.2 * before))
    return false;
  *d = std::move(next);
  return true;
}
}  // namespace

bool merge_short(const EditContext& c, DraftLoop* d, std::size_t piece) {
  const std::size_t end = d->next(piece);
  if (d->size() <= 2 || distance(d->joints[piece].at, d->joints[end].at) >= shortest_piece_px(c.loop)) return false;
  const auto rank = [](const Joint& j) { return j.corner ? 3 : j.reason == Reason::added ? 0 : j.reason == Reason::straight_end ? 1 : 2; };
  const int first = rank(d->joints[piece]), second = rank(d->joints[end]);
  if (std::min(first, second) == 3) return false;  // a short side between corners is meant
  const std::size_t lesser = first <= second ? piece : end, other = lesser == piece ? end : piece;
  return try_merge(c, d, piece, lesser) || (std::max(first, second) < 3 && try_merge(c, d, piece, other));
}

bool try_hold(const EditContext& c, DraftLoop* d, std::size_t piece) {
  const double before = piece_error(c.loop, *d, piece).max_px;
  if (before <= c.loop.limit_px) return false;
  const std::size_t from = (piece + d->size() - 1) % d->size();
  if (before < 1.6 * c.loop.limit_px) {
    DraftLoop next = *d;
    // On a round of a few nodes every node must give a little; elsewhere the neighbours do.
    const std::size_t reach = d->size() <= 6 ? 3 : 1;
    const std::vector<char> freed = freed_round(next, piece, reach);
    if ((minimax_decides(c.loop) ? solve_minimax(c, &next, freed) : solve(c, &next, freed, {2, 4, 8})) &&
        local_error(c.loop, next, from, std::max<std::size_t>(4, reach * 2)).max_px <= c.loop.limit_px) {
      *d = std::move(next);
      return true;
    }
  }
  const Joint &a = d->joints[piece], &b = d->joints[d->next(piece)];
  const double room = c.loop.even.ahead(a.arc, b.arc);
  if (room < std::max(6.0, 1.2 * c.loop.scale_px)) return false;
  DraftLoop next = *d;
  const int parts = split_piece(c.loop, &next, piece, c.loop.limit_px, c.stop);
  const std::size_t reach = std::size_t(parts + 1);
  if (!solve(c, &next, freed_round(next, piece + std::size_t(parts) / 2, reach), {3, 2, 8})) return false;
  if (local_error(c.loop, next, from, std::size_t(parts) + 2).max_px >= before) return false;
  *d = std::move(next);
  return true;
}

namespace {
// The piece, or it and the one after it as one stretch, in the fewest cubics that hold; only what is new moves. No
// joints if it can't be held.
DraftLoop divided(const EditContext& c, const DraftLoop& d, std::size_t at, bool with_next) {
  DraftLoop next = d;
  if (with_next) {
    const std::size_t joint = d.next(at);
    const Joint& j = d.joints[joint];
    if (j.corner || j.reason != Reason::added || touches_straight(d, joint) || d.size() <= 2) return {};
    remove_joint(&next, joint);
    if (joint == 0) --at;
    settle_angles(&next);
  }
  const int parts = split_piece(c.loop, &next, at, c.loop.limit_px, c.stop);
  std::vector<char> freed(next.size(), 0);
  for (int k = 1; k < parts; ++k) freed[(at + std::size_t(k)) % next.size()] = 1;
  const auto held = [&] { return local_error(c.loop, next, at, std::size_t(parts)).max_px <= c.loop.limit_px; };
  if (!held()) solve(c, &next, freed, {2, 2, 8});
  if (!held()) solve_minimax(c, &next, freed);
  return held() ? next : DraftLoop{};
}
}  // namespace

bool try_divide(const EditContext& c, DraftLoop* d, std::size_t piece) {
  if (d->pieces[piece].straight || piece_error(c.loop, *d, piece).max_px <= c.loop.limit_px) return false;
  DraftLoop best;
  for (const auto& [at, with_next] :
       {std::pair{piece, false}, std::pair{piece, true}, std::pair{d->previous(piece), true}}) {
    DraftLoop next = divided(c, *d, at, with_next);
    if (next.size() > 0 && (best.size() == 0 || next.size() < best.size())) best = std::move(next);
  }
  if (best.size() == 0) return false;
  *d = std::move(best);
  return true;
}

bool smooth_weak_corner(const EditContext& c, DraftLoop* d, std::size_t joint, double least_deg) {
  Joint& j = d->joints[joint];
  if (!j.corner || turn_at_deg(*d, joint) >= least_deg) return false;
  const std::size_t before = d->previous(joint);
  const bool line_in = d->pieces[before].straight, line_out = d->pieces[joint].straight;
  if (line_in && line_out) {  // two straights, hardly a turn: one of them gives way
    if (d->size() <= 2) return false;
    const Joint &a = d->joints[before], &b = d->joints[d->next(joint)];
    const std::size_t shorter = distance(a.at, j.at) < distance(j.at, b.at) ? before : joint;
    d->pieces[shorter] = Piece{};
    d->pieces[shorter].h0 = d->pieces[shorter].h1 =
        distance(d->joints[shorter].at, d->joints[d->next(shorter)].at) / 3;
  }
  j.angle = angle_of(direction(start_angle(*d, joint)) + direction(end_angle(*d, before)));
  j.corner = false;
  j.reason = touches_straight(*d, joint) ? Reason::straight_end : Reason::added;
  settle_angles(d);
  solve(c, d, freed_round(*d, joint, 2), {3, 2, 8});
  return true;
}

double stem_allowance_px(const SpacedLoop& loop) {
  return std::max(loop.tolerance_px, 1.4 * std::min(loop.limit_px, 2.6 * loop.sigma_px));
}

namespace {
// Directions at joint i that are nearly an axis are put on it.
int snap_joint(DraftLoop* d, std::size_t i) {
  int count = 0;
  Joint& j = d->joints[i];
  if (!j.corner) {
    if (j.angle_fixed || touches_straight(*d, i) || off_axis_deg(j.angle) > snap_deg) return 0;
    j.angle = axis_angle(j.angle), j.angle_fixed = true;
    return 1;
  }
  Piece &out = d->pieces[i], &in = d->pieces[d->previous(i)];
  if (!out.straight && !out.fixed0 && off_axis_deg(out.a0) <= snap_deg) out.a0 = axis_angle(out.a0), out.fixed0 = true, ++count;
  if (!in.straight && !in.fixed1 && off_axis_deg(in.a1) <= snap_deg) in.a1 = axis_angle(in.a1), in.fixed1 = true, ++count;
  return count;
}
}  // namespace

int snap_handles(DraftLoop* d) {
  int count = 0;
  for (std::size_t i = 0; i < d->size(); ++i) count += snap_joint(d, i);
  settle_angles(d);
  return count;
}

bool snap_where_held(const EditContext& c, DraftLoop* d) {
  bool changed = false;
  for (std::size_t i = 0; i < d->size() && !c.stop.stop_requested(); ++i) {
    DraftLoop next = *d;
    if (snap_joint(&next, i) == 0) continue;
    settle_angles(&next);
    if (!solve(c, &next, freed_round(next, i, 1), {2, 4, 6})) continue;
    const std::size_t from = (i + 2 * d->size() - 2) % d->size();
    if (local_error(c.loop, next, from, 4).max_px > c.loop.limit_px) continue;
    *d = std::move(next);
    changed = true;
  }
  return changed;
}

}  // namespace batten
