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

DraftNode end_joint(const SpacedLoop& loop, const Candidate& c, double arc) {
  DraftNode j;
  const Point p = loop.curve.at(arc);
  j.at = j.anchor = c.vertical ? Point{c.run.at_px, p.y} : Point{p.x, c.run.at_px};
  j.arc = loop.curve.wrap(arc);
  j.reason = Reason::straight_end;
  return j;
}

// The straight put in: nodes inside its run go; the smooth node beside either end gives way too where asked.
DraftLoop with_straight(const SpacedLoop& loop, const DraftLoop& d, const Candidate& c, bool drop_before,
                        bool drop_after) {
  const double from = c.from_barrier ? c.section.low : c.run.from, to = c.to_barrier ? c.section.high : c.run.to;
  const double length = loop.curve.length_px(), room = 0.5 * shortest_segment_px(loop);
  const auto unwrapped = [&](double arc) { return from + loop.curve.ahead(from, arc); };
  DraftLoop out;
  // Walk once round from the first node behind the run.
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const double a = unwrapped(d.nodes[i].arc);
    const bool is_from = c.from_barrier && i == c.section.first, is_to = c.to_barrier && i == c.section.last;
    if (!is_from && !is_to && a > to + room && a < from + length - room) kept.push_back(i);
  }
  std::sort(kept.begin(), kept.end(),
            [&](std::size_t a, std::size_t b) { return unwrapped(d.nodes[a].arc) < unwrapped(d.nodes[b].arc); });
  const auto may_go = [&](std::size_t i) {
    const DraftNode& j = d.nodes[i];
    const auto other_straight = [&](std::size_t p) { return p != c.segment && d.segments[p].straight; };
    if (j.corner || j.reason == Reason::pinned) return false;
    const bool extreme = j.reason != Reason::added && j.reason != Reason::straight_end;
    const double gap = std::min(std::abs(loop.curve.way(c.run.from, j.arc)), std::abs(loop.curve.way(c.run.to, j.arc)));
    if (extreme && gap > loop.scale_px) return false;
    return !other_straight(i) && !other_straight(d.previous(i));
  };
  if (drop_after && !c.to_barrier && !kept.empty() && may_go(kept.front())) kept.erase(kept.begin());
  if (drop_before && !c.from_barrier && !kept.empty() && may_go(kept.back())) kept.pop_back();
  const DraftNode first = c.from_barrier ? d.nodes[c.section.first] : end_joint(loop, c, c.run.from);
  const DraftNode last = c.to_barrier ? d.nodes[c.section.last] : end_joint(loop, c, c.run.to);
  DraftSegment straight;
  straight.straight = true, straight.vertical = c.vertical, straight.level = !c.vertical;
  out.nodes = {first, last};
  out.segments = {straight, DraftSegment{}};
  // The segment that leaves the straight ends where the segment before kept.front() ended.
  for (std::size_t k = 0; k < kept.size(); ++k) {
    out.nodes.push_back(d.nodes[kept[k]]);
    out.segments.push_back(d.segments[kept[k]]);
  }
  if (c.to_barrier) out.segments[1] = d.segments[c.section.last];
  if (!c.to_barrier && !kept.empty()) {
    const DraftSegment& old = d.segments[d.previous(kept.front())];
    out.segments[1].end.angle_rad = old.end.angle_rad, out.segments[1].end.on_axis = old.end.on_axis;
  }
  return out;
}

// Handles of the segments beside the straight, from their own stretch of loop.
bool fit_beside(const SpacedLoop& loop, DraftLoop* d, const std::stop_token& stop) {
  for (std::size_t p : {std::size_t(1), d->size() - 1}) {
    if (d->segments[p].straight) continue;
    DraftSegment& q = d->segments[p];
    const DraftNode &a = d->nodes[p], &b = d->nodes[d->next(p)];
    const double way = loop.curve.ahead(a.arc, b.arc);
    q.start.handle_px = q.end.handle_px = distance(a.at, b.at) / 3;
    if (a.corner && !q.start.on_axis) q.start.angle_rad = arm_at(loop, a, way, true).angle;
    if (b.corner && !q.end.on_axis) q.end.angle_rad = arm_at(loop, b, way, false).angle;
  }
  settle_angles(d);
  for (std::size_t p : {std::size_t(1), d->size() - 1}) fit_segment(loop, d, p);
  settle_angles(d);
  return !stop.stop_requested();
}

double all_sum2(const SpacedLoop& loop, const DraftLoop& d) {
  double sum = 0;
  for (std::size_t i = 0; i < d.size(); ++i) sum += square_sum_px3(loop, d, i);
  return sum;
}

}  // namespace

bool on_axis(const DraftSegment& p) { return p.straight && (p.level || p.vertical); }

Section section_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  Section s;
  std::size_t a = segment, b = d.next(segment);
  const auto other_straight = [&](std::size_t p) { return p != segment && d.segments[p].straight; };
  const auto barrier = [&](std::size_t j) {
    return d.nodes[j].corner || other_straight(j) || other_straight(d.previous(j));
  };
  for (std::size_t k = 0; k < d.size() && !barrier(a); ++k) a = d.previous(a);
  for (std::size_t k = 0; k < d.size() && !barrier(b); ++k) b = d.next(b);
  s.whole = !barrier(a);
  s.first = a, s.last = b;
  const double arc = d.nodes[segment].arc;
  s.low = a == segment ? arc : arc - loop.curve.ahead(d.nodes[a].arc, arc);
  double way = loop.curve.ahead(s.low, d.nodes[b].arc);
  if (way <= loop.curve.ahead(s.low, arc)) way += loop.curve.length_px();
  if (s.whole) way = loop.curve.length_px();
  s.high = s.low + way;
  s.corner_low = d.nodes[a].corner, s.corner_high = d.nodes[b].corner;
  return s;
}

double zone_at(const DraftLoop& d, std::size_t node, double way) {
  return d.nodes[node].corner ? std::min(d.nodes[node].zone_px, 0.3 * way) : 0;
}

void trim_overhang(Candidate* c, double share, double most) {
  const double most_px = most * c->run.length_px();
  if (!c->from_barrier) c->run.from += std::clamp(share * c->run.over_from_px, 0.0, most_px);
  if (!c->to_barrier) c->run.to -= std::clamp(share * c->run.over_to_px, 0.0, most_px);
}

double moved_px(const DraftLoop& before, const DraftLoop& after, std::size_t segment) {
  const Cubic line = cubic_of(after, segment);
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

double middle_arc(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  const double from = d.nodes[segment].arc;
  return loop.curve.wrap(from + 0.5 * loop.curve.ahead(from, d.nodes[d.next(segment)].arc));
}

bool settle_within(const SpacedLoop& loop, std::size_t centre, std::size_t reach, double allowed,
                   const std::stop_token& stop, DraftLoop* d) {
  const std::vector<char> freed = Window::around(*d, centre, reach, reach).flags();
  const auto worst_px = [&] { return local_error(loop, *d, Window::around(*d, centre, 3, 3)).max_px; };
  if (uses_minimax(loop)) {
    constexpr double hopeless = 2.5;  // as in removal_fits()
    if (!solve_joint(loop, d, freed, {}, stop) || worst_px() > hopeless * allowed) return false;
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
                  std::vector<AxisStraight>* edits) {
  const EditContext& c = context.edit;
  const double least = std::max(shortest_side_px, 0.6 * candidate.run.length_px());
  for (const auto& [before, after] :
       {std::pair(true, true), std::pair(true, false), std::pair(false, true), std::pair(false, false)}) {
    DraftLoop next = with_straight(c.loop, *d, candidate, before, after);
    if (next.size() < 3 || next.size() > d->size() + 1 || !fit_beside(c.loop, &next, c.stop)) continue;
    if (!settle_within(c.loop, 0, 3, straight_tolerance_px(c.loop), c.stop, &next)) continue;
    if (distance(next.nodes[0].at, next.nodes[1].at) < least) continue;
    const AxisStraight edit{candidate.vertical, middle_arc(c.loop, next, 0), moved_px(*d, next, 0)};
    if (c.extremes_required)
      for (std::size_t p : {next.size() - 1, std::size_t(1)}) enforce_extremum(c, &next, p);
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
