#include "straighten.h"

#include <algorithm>
#include <utility>

#include "axis_run.h"
#include "box_extremes.h"
#include "edit_draft.h"
#include "minimise_segments.h"
#include "piece_data.h"
#include "place_nodes.h"
#include "solve_joint.h"

namespace batten {
namespace {

// A piece whose chord is further from an axis than this was not meant to lie on it, nor is one looked for there.
constexpr double seed_deg = 12;
// What a hand may miss an axis by on a short side; a longer one is held by the tolerance.
constexpr double largest_tilt_deg = 5;
// Of a run with two free ends when its reach grows by 2.5: a straight grows by its overhang, an arc by 0.58.
constexpr double largest_growth = 0.27;
constexpr double worthwhile_gain = 1.25;
constexpr double shortest_side_px = 10;
// Least length of a run in band widths, by how many of its ends run smoothly on. The bow of a flat arch hides in the
// wavering of a pencil line over some five band widths (measured on outlines of open fonts drawn with a pencil);
// letters that lean are drawn from the wrist and have such arches instead of level straights (common practice, no
// source).
constexpr double shortest_in_bands[] = {0, 2.5, 6}, shortest_leaning_in_bands = 10;

// Between two barriers (corners, straights on an axis) the loop runs smoothly.
struct Section {
  double low = 0, high = 0;         // arcs, unwrapped, high > low
  std::size_t first = 0, last = 0;  // joints at the barriers
  bool corner_low = false, corner_high = false;
  bool whole = false;  // once round: no barrier at all
};

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

struct Candidate {
  AxisRun run;
  bool upright = false;
  std::size_t piece = 0;
  Section section;
  bool from_barrier = false, to_barrier = false;  // the run reaches it
};

std::vector<double> reaches(const SpacedLoop& loop) {
  std::vector<double> out;
  for (double k : {0.7, 1.3, 2.2, 3.2})
    out.push_back(std::min(0.15 + k * loop.sigma_px, 0.95 * stem_allowance_px(loop)));
  out.push_back(0.95 * stem_allowance_px(loop));
  return out;
}

double zone_at(const DraftLoop& d, std::size_t joint, double way) {
  return d.joints[joint].corner ? std::min(d.joints[joint].zone_px, 0.3 * way) : 0;
}

// As straight as it is level or upright? An arc grows by 1.58 when the reach grows by 2.5, half of it at either free
// end; a run between two corners can't grow and is judged by its bow alone.
double off_axis_deg(double angle) { return std::abs(degrees(wrap_angle(angle - axis_angle(angle)))); }

// side_px: the run and what lies between it and the corners it reaches, where points are not to be trusted.
bool straight_enough(const SpacedLoop& loop, const AxisRun& r, double side_px, int free_ends, bool leaning) {
  const double bands = free_ends > 0 && leaning ? shortest_leaning_in_bands : shortest_in_bands[free_ends];
  if (side_px < std::max(shortest_side_px, bands * loop.band_px)) return false;
  if (std::abs(r.tilt_deg) > largest_tilt_deg) return false;
  if (free_ends > 0 && r.growth - 1 > largest_growth) return false;
  return std::abs(r.bow_px) < std::max(0.15, 2 * bow_sd_px(loop, r.length_px()));
}

// The run through a seed that is as straight as it is level or upright: with the shortest reach that will do, unless a
// longer one gains a good deal.
bool best_run(const SpacedLoop& loop, const DraftLoop& d, bool leaning, Candidate* c) {
  const Section& s = c->section;
  const double way = s.high - s.low;
  const double low = s.low + zone_at(d, s.first, way), high = s.high - zone_at(d, s.last, way);
  const double from = s.low + loop.even.ahead(s.low, d.joints[c->piece].arc);
  const double own = loop.even.ahead(d.joints[c->piece].arc, d.joints[d.next(c->piece)].arc);
  const double slack = std::max(3.0, 0.5 * loop.scale_px);
  const double chord_angle = angle_of(d.joints[d.next(c->piece)].at - d.joints[c->piece].at);
  bool found = false;
  for (double reach : reaches(loop))
    for (double share : {0.5, 0.3, 0.7, 0.1, 0.9}) {
      const double seed = std::clamp(from + share * own, low, high);
      AxisRun r = axis_run(loop, c->upright, low, high, seed, reach);
      bool at_low = !s.whole && r.from - low < slack, at_high = !s.whole && high - r.to < slack;
      if (d.pieces[c->piece].straight && ((at_low && !s.corner_low) || (at_high && !s.corner_high))) continue;
      // Between two straights that run smoothly on into one another lies a curve: room for it.
      if (at_low && !s.corner_low) r.from += 2 * loop.scale_px, at_low = false;
      if (at_high && !s.corner_high) r.to -= 2 * loop.scale_px, at_high = false;
      const double side_px = (at_high ? s.high : r.to) - (at_low ? s.low : r.from);
      if (!straight_enough(loop, r, side_px, int(!at_low) + int(!at_high), leaning)) continue;
      if (at_low && at_high && off_axis_deg(chord_angle) > largest_tilt_deg) continue;
      // A straight that begins at a corner is not cut short of it.
      if (d.pieces[c->piece].straight && ((s.corner_low && s.first == c->piece && !at_low) ||
                                          (s.corner_high && s.last == d.next(c->piece) && !at_high)))
        continue;
      if (found && r.length_px() < worthwhile_gain * c->run.length_px()) continue;
      c->run = r, found = true;
      c->from_barrier = at_low, c->to_barrier = at_high;
    }
  return found;
}

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

// Largest distance from a straight to the outline as it was, at places along it.
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

bool is_seed(const DraftLoop& d, std::size_t i, const AxisIntent& intent, bool* upright) {
  if (on_axis(d.pieces[i])) return false;
  const double angle = angle_of(d.joints[d.next(i)].at - d.joints[i].at);
  if (off_axis_deg(angle) > seed_deg) return false;
  *upright = std::abs(std::sin(angle)) > 0.5;
  return *upright ? intent.upright : intent.level;
}

// Least squares first; where that misses by little, higher norms share the deviation out more evenly.
bool settle_within(const SpacedLoop& loop, std::size_t centre, double allowed, const std::stop_token& stop,
                   DraftLoop* d) {
  const std::size_t from = (centre + 3 * d->size() - 3) % d->size();
  for (const int power : {2, 6, 12}) {
    if (!solve_joint(loop, d, freed_round(*d, centre, 3), {power > 2 ? 2 : 3, power, 8}, stop)) return false;
    const double worst = local_error(loop, *d, from, 7).max_px;
    if (worst <= allowed) return true;
    if (worst > 1.5 * allowed) return false;
  }
  return false;
}

double middle_arc(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece) {
  const double from = d.joints[piece].arc;
  return loop.even.wrap(from + 0.5 * loop.even.ahead(from, d.joints[d.next(piece)].arc));
}

// The straight as it stands, turned onto the axis.
bool try_turn(const EditContext& c, const Holds& holds, std::size_t piece, bool upright, DraftLoop* d,
              std::vector<Straightened>* edits) {
  const double angle = angle_of(d->joints[d->next(piece)].at - d->joints[piece].at);
  if (!d->pieces[piece].straight || off_axis_deg(angle) > largest_tilt_deg) return false;
  DraftLoop next = *d;
  (upright ? next.pieces[piece].upright : next.pieces[piece].level) = true;
  const double before = local_error(c.loop, *d, (piece + 3 * d->size() - 3) % d->size(), 7).max_px;
  if (!settle_within(c.loop, piece, std::max(before, stem_allowance_px(c.loop)), c.stop, &next) || !holds(*d, next))
    return false;
  edits->push_back({upright, middle_arc(c.loop, next, piece), moved_px(*d, next, piece)});
  *d = std::move(next);
  return true;
}

bool try_run(const EditContext& c, const Holds& holds, const Candidate& candidate, DraftLoop* d,
             std::vector<Straightened>* edits) {
  const double least = std::max(shortest_side_px, 0.6 * candidate.run.length_px());
  for (const auto& [before, after] :
       {std::pair(true, true), std::pair(true, false), std::pair(false, true), std::pair(false, false)}) {
    DraftLoop next = with_straight(c.loop, *d, candidate, before, after);
    if (next.size() < 3 || next.size() > d->size() + 1 || !fit_beside(c.loop, &next, c.stop)) continue;
    if (!settle_within(c.loop, 0, stem_allowance_px(c.loop), c.stop, &next)) continue;
    if (distance(next.joints[0].at, next.joints[1].at) < least) continue;
    const Straightened edit{candidate.upright, middle_arc(c.loop, next, 0), moved_px(*d, next, 0)};
    if (c.extremes_required)
      for (std::size_t p : {next.size() - 1, std::size_t(1)}) try_box(c, &next, p);
    if (next.size() > d->size() + 1 || !holds(*d, next)) continue;
    edits->push_back(edit);
    *d = std::move(next);
    return true;
  }
  return false;
}

}  // namespace

std::vector<Straightened> straighten_loop(const EditContext& c, const AxisIntent& intent, const Holds& holds,
                                          DraftLoop* d) {
  std::vector<Straightened> edits;
  for (std::size_t i = 0; i < d->size() && !c.stop.stop_requested(); ++i) {
    bool upright = false;
    if (d->pieces[i].straight && is_seed(*d, i, intent, &upright)) try_turn(c, holds, i, upright, d, &edits);
  }
  std::vector<double> tried;  // middles of seeds that led nowhere
  while (!c.stop.stop_requested()) {
    Candidate best;
    bool any = false;
    for (std::size_t i = 0; i < d->size(); ++i) {
      Candidate k;
      const double middle = middle_arc(c.loop, *d, i);
      if (std::any_of(tried.begin(), tried.end(), [&](double t) { return std::abs(c.loop.even.way(t, middle)) < 1; }))
        continue;
      if (!is_seed(*d, i, intent, &k.upright)) continue;
      k.piece = i, k.section = section_of(c.loop, *d, i);
      if (!best_run(c.loop, *d, !intent.upright, &k)) {
        tried.push_back(middle);
        continue;
      }
      if (!any || k.run.length_px() > best.run.length_px()) best = k, any = true;
    }
    if (!any) break;
    const double middle = middle_arc(c.loop, *d, best.piece);
    if (!try_run(c, holds, best, d, &edits)) tried.push_back(middle);
  }
  return edits;
}

}  // namespace batten
