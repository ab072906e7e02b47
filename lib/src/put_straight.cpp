#include "put_straight.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "box_extremes.h"
#include "edit_limits.h"
#include "minimise_segments.h"
#include "piece_data.h"
#include "place_nodes.h"
#include "solve_joint.h"

namespace batten {
namespace {

Joint end_joint(const SpacedLoop& loop, const Candidate& c, double arc) {
  Joint j;
  const Point p = loop.even.at(arc);
  j.at = j.anchor = c.upright ? Point{c.run.at_px, p.y} : Point{p.x, c.run.at_px};
  j.arc = loop.even.wrap(arc);
  j.reason = Reason::straight_end;
  return j;
}

// The straight put in: joints inside its run go; the smooth joint beside either end gives way too where asked.
DraftLoop with_straight(const SpacedLoop& loop, const DraftLoop& d, const Candidate& c, bool drop_before,
                        bool drop_after) {
  const double from = c.from_barrier ? c.section.low : c.run.from, to = c.to_barrier ? c.section.high : c.run.to;
  const double length = loop.even.length_px(), room = 0.5 * shortest_piece_px(loop);
  const auto unwrapped = [&](double arc) { return from + loop.even.ahead(from, arc); };
  DraftLoop out;
  // Walk once round from the first joint behind the run.
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const double a = unwrapped(d.joints[i].arc);
    const bool is_from = c.from_barrier && i == c.section.first, is_to = c.to_barrier && i == c.section.last;
    if (!is_from && !is_to && a > to + room && a < from + length - room) kept.push_back(i);
  }
  std::sort(kept.begin(), kept.end(),
            [&](std::size_t a, std::size_t b) { return unwrapped(d.joints[a].arc) < unwrapped(d.joints[b].arc); });
  const auto may_go = [&](std::size_t i) {
    const Joint& j = d.joints[i];
    const auto other_straight = [&](std::size_t p) { return p != c.piece && d.pieces[p].straight; };
    if (j.corner || j.reason == Reason::pinned) return false;
    const bool extreme = j.reason != Reason::added && j.reason != Reason::straight_end;
    const double gap = std::min(std::abs(loop.even.way(c.run.from, j.arc)), std::abs(loop.even.way(c.run.to, j.arc)));
    if (extreme && gap > loop.scale_px) return false;
    return !other_straight(i) && !other_straight(d.previous(i));
  };
  if (drop_after && !c.to_barrier && !kept.empty() && may_go(kept.front())) kept.erase(kept.begin());
  if (drop_before && !c.from_barrier && !kept.empty() && may_go(kept.back())) kept.pop_back();
  const Joint first = c.from_barrier ? d.joints[c.section.first] : end_joint(loop, c, c.run.from);
  const Joint last = c.to_barrier ? d.joints[c.section.last] : end_joint(loop, c, c.run.to);
  Piece straight;
  straight.straight = true, straight.upright = c.upright, straight.level = !c.upright;
  out.joints = {first, last};
  out.pieces = {straight, Piece{}};
  // The piece that leaves the straight ends where the piece before kept.front() ended.
  for (std::size_t k = 0; k < kept.size(); ++k) {
    out.joints.push_back(d.joints[kept[k]]);
    out.pieces.push_back(d.pieces[kept[k]]);
  }
  if (c.to_barrier) out.pieces[1] = d.pieces[c.section.last];
  if (!c.to_barrier && !kept.empty()) {
    const Piece& old = d.pieces[d.previous(kept.front())];
    out.pieces[1].a1 = old.a1, out.pieces[1].fixed1 = old.fixed1;
  }
  return out;
}

// Handles of the pieces beside the straight, from their own stretch of loop.
bool fit_beside(const SpacedLoop& loop, DraftLoop* d, const std::stop_token& stop) {
  for (std::size_t p : {std::size_t(1), d->size() - 1}) {
    if (d->pieces[p].straight) continue;
    Piece& q = d->pieces[p];
    const Joint &a = d->joints[p], &b = d->joints[d->next(p)];
    const double way = loop.even.ahead(a.arc, b.arc);
    q.h0 = q.h1 = distance(a.at, b.at) / 3;
    if (a.corner && !q.fixed0) q.a0 = arm_at(loop, a, way, true).angle;
    if (b.corner && !q.fixed1) q.a1 = arm_at(loop, b, way, false).angle;
  }
  settle_angles(d);
  for (std::size_t p : {std::size_t(1), d->size() - 1}) fit_piece(loop, d, p, false);
  settle_angles(d);
  return !stop.stop_requested();
}

double all_sum2(const SpacedLoop& loop, const DraftLoop& d) {
  double sum = 0;
  for (std::size_t i = 0; i < d.size(); ++i) sum += square_sum_px3(loop, d, i);
  return sum;
}

}  // namespace

bool on_axis(const Piece& p) { return p.straight && (p.level || p.upright); }

Section section_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece) {
  Section s;
  std::size_t a = piece, b = d.next(piece);
  const auto other_straight = [&](std::size_t p) { return p != piece && d.pieces[p].straight; };
  const auto barrier = [&](std::size_t j) {
    return d.joints[j].corner || other_straight(j) || other_straight(d.previous(j));
  };
  for (std::size_t k = 0; k < d.size() && !barrier(a); ++k) a = d.previous(a);
  for (std::size_t k = 0; k < d.size() && !barrier(b); ++k) b = d.next(b);
  s.whole = !barrier(a);
  s.first = a, s.last = b;
  const double arc = d.joints[piece].arc;
  s.low = a == piece ? arc : arc - loop.even.ahead(d.joints[a].arc, arc);
  double way = loop.even.ahead(s.low, d.joints[b].arc);
  if (way <= loop.even.ahead(s.low, arc)) way += loop.even.length_px();
  if (s.whole) way = loop.even.length_px();
  s.high = s.low + way;
  s.corner_low = d.joints[a].corner, s.corner_high = d.joints[b].corner;
  return s;
}

double zone_at(const DraftLoop& d, std::size_t joint, double way) {
  return d.joints[joint].corner ? std::min(d.joints[joint].zone_px, 0.3 * way) : 0;
}

void trim_overhang(Candidate* c, double share, double most) {
  const double most_px = most * c->run.length_px();
  if (!c->from_barrier) c->run.from += std::clamp(share * c->run.over_from_px, 0.0, most_px);
  if (!c->to_barrier) c->run.to -= std::clamp(share * c->run.over_to_px, 0.0, most_px);
}

double moved_px(const DraftLoop& before, const DraftLoop& after, std::size_t piece) {
  const Cubic line = cubic_of(after, piece);
  std::vector<FootFinder> finders;
  for (std::size_t i = 0; i < before.size(); ++i) finders.emplace_back(cubic_of(before, i));
  double worst = 0;
  for (int k = 0; k <= 8; ++k) {
    const Point p = evaluate(line, k / 8.0);
    double nearest = 1e300;
    for (const FootFinder& f : finders) nearest = std::min(nearest, distance(p, f.foot(p).at));
    worst = std::max(worst, nearest);
  }
  return worst;
}

double middle_arc(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece) {
  const double from = d.joints[piece].arc;
  return loop.even.wrap(from + 0.5 * loop.even.ahead(from, d.joints[d.next(piece)].arc));
}

bool settle_within(const SpacedLoop& loop, std::size_t centre, std::size_t reach, double allowed,
                   const std::stop_token& stop, DraftLoop* d) {
  const std::size_t from = (centre + 3 * d->size() - 3) % d->size();
  const std::vector<char> freed = freed_round(*d, centre, reach);
  const auto worst_px = [&] { return local_error(loop, *d, from, 7).max_px; };
  if (minimax_decides(loop)) {
    constexpr double hopeless = 2.5;  // as in hold_without()
    if (!solve_joint(loop, d, freed, {3, 2, 8}, stop) || worst_px() > hopeless * allowed) return false;
    return worst_px() <= allowed || (solve_joint(loop, d, freed, minimax_solve, stop) && worst_px() <= allowed);
  }
  for (const int power : norms) {
    if (!solve_joint(loop, d, freed, {power > 2 ? 2 : 3, power, 8}, stop)) return false;
    const double worst = worst_px();
    if (worst <= allowed) return true;
    if (worst > 1.5 * allowed) return false;
  }
  return false;
}

bool rest_holds(const SpacedLoop& loop, const DraftLoop& before, const DraftLoop& after, std::size_t straight) {
  const double sigma_px = std::max(loop.sigma_px, 0.03);
  constexpr double price = 2;  // of one number, by Akaike's criterion (1974)
  const double most_rise_px3 = price * 2 * loop.correlation_px * sigma_px * sigma_px;
  return all_sum2(loop, after) - square_sum_px3(loop, after, straight) <= all_sum2(loop, before) + most_rise_px3;
}

bool put_straight(const StraightenContext& context, const Candidate& candidate, bool no_worse, DraftLoop* d,
                  std::vector<Straightened>* edits) {
  const EditContext& c = context.edit;
  const double least = std::max(shortest_side_px, 0.6 * candidate.run.length_px());
  for (const auto& [before, after] :
       {std::pair(true, true), std::pair(true, false), std::pair(false, true), std::pair(false, false)}) {
    DraftLoop next = with_straight(c.loop, *d, candidate, before, after);
    if (next.size() < 3 || next.size() > d->size() + 1 || !fit_beside(c.loop, &next, c.stop)) continue;
    if (!settle_within(c.loop, 0, 3, stem_allowance_px(c.loop), c.stop, &next)) continue;
    if (distance(next.joints[0].at, next.joints[1].at) < least) continue;
    const Straightened edit{candidate.upright, middle_arc(c.loop, next, 0), moved_px(*d, next, 0)};
    if (c.extremes_required)
      for (std::size_t p : {next.size() - 1, std::size_t(1)}) try_box(c, &next, p);
    if (next.size() > d->size() + 1 || !rest_holds(c.loop, *d, next, 0)) continue;
    if (no_worse && all_sum2(c.loop, next) > all_sum2(c.loop, *d)) continue;
    if (!context.holds(*d, next)) continue;
    edits->push_back(edit);
    *d = std::move(next);
    return true;
  }
  return false;
}

}  // namespace batten
