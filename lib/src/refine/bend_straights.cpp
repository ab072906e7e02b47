#include "refine/bend_straights.h"

#include <algorithm>
#include <cmath>

#include "fit/segment_data.h"
#include "fit/smooth_node.h"
#include "minimise/fit_segment.h"

namespace batten {
namespace {

struct Wall {
  Point from, to;
  double length_px() const { return distance(from, to); }
};

Wall wall_at(const DraftLoop& d, std::size_t segment) { return {d.nodes[segment].at, d.nodes[d.next(segment)].at}; }

// Parallel, travelled the other way, beside one another: the two walls of a stem.
bool face_one_another(const Wall& a, const Wall& b) {
  constexpr double parallel_deg = 4;  // strokes widen by two or three towards a foot
  constexpr double beside = 0.4;      // of the shorter one
  const Point u = unit(a.to - a.from), v = unit(b.to - b.from);
  if (dot(u, v) > 0 || std::abs(degrees(turn_between(u, -1 * v))) > parallel_deg) return false;
  const double s = dot(b.from - a.from, u), t = dot(b.to - a.from, u);
  const double common = std::min(a.length_px(), std::max(s, t)) - std::max(0.0, std::min(s, t));
  return common > beside * std::min(a.length_px(), b.length_px());
}

// The straight as a curve, fitted by itself.
DraftLoop bent(const EditContext& c, const DraftLoop& d, std::size_t segment) {
  DraftLoop next = d;
  const std::size_t end = next.next(segment);
  make_cubic(&next, segment);
  for (std::size_t k : {segment, end}) {
    DraftNode& j = next.nodes[k];
    if (!j.corner && !touches_straight(next, k) && j.reason == Reason::straight_end) j.reason = Reason::added;
  }
  settle_angles(&next);
  for (std::size_t k : {segment, end})
    next.nodes[k].angle = next.nodes[k].corner ? 0 : smooth_node(c.loop, next.nodes[k].arc, Reason::added).angle;
  settle_angles(&next);
  fit_segment(c.loop, &next, segment);
  return next;
}

// How far the handles lie off the chord.
double bulge_px(const Cubic& c) {
  const Point u = unit(c[3] - c[0]);
  return std::max(std::abs(cross(u, c[1] - c[0])), std::abs(cross(u, c[2] - c[0])));
}

// How often the outline turns back between the corners on either side of a segment, or over its neighbours: what shows
// as a bump.
std::size_t bumps_round(const DraftLoop& d, std::size_t segment) {
  constexpr double visible_rad = 3 * pi / 180;  // what is seen to waver; common practice, no source
  const std::size_t end = d.next(segment);
  const std::size_t first = d.nodes[segment].corner ? segment : d.previous(segment),
                    last = d.nodes[end].corner ? segment : end;
  std::vector<double> angles;
  for (std::size_t i = first;; i = d.next(i)) {
    for (int k = 0; k <= 16; ++k) {
      const double angle = angle_of(first_derivative(cubic_of(d, i), (k + 0.5) / 17));
      angles.push_back(angles.empty() ? angle : angles.back() + wrap_angle(angle - angles.back()));
    }
    if (i == last) return turning_points(angles, visible_rad).size();
  }
}

}  // namespace

double least_bend(const DraftLoop& d, std::size_t segment) {
  // 1250 slanted straights in pencil drawings of letters of 20 open faces were looked at: where a smooth node ends one
  // and no wall faces it, three in four were drawn as curves; between two corners three in four were drawn straight,
  // and of those that face another wall too eight in nine. At these thresholds one drawn straight in sixteen is bent
  // and two drawn curves in nine, before bends that waver or hardly show are left out.
  constexpr double any = 0.5, between_corners = 0.7;  // added
  constexpr double in_a_stem = 3;                     // multiplied
  // An end of an open line is held where it was located, or where other lines end: a straight that leads there lies
  // farther off its points than one that is free to turn, by up to twice their error.
  constexpr double held_at_an_end = 3;  // multiplied
  const bool corners = d.nodes[segment].corner && d.nodes[d.next(segment)].corner;
  bool faced = false;
  for (std::size_t k = 0; k < d.size() && !faced; ++k)
    faced = k != segment && d.segments[k].straight && !d.segments[k].way_back &&
            face_one_another(wall_at(d, segment), wall_at(d, k));
  const bool held = is_line_end(d, segment) || is_line_end(d, d.next(segment));
  return (any + (corners ? between_corners : 0)) * (faced ? in_a_stem : 1) * (held ? held_at_an_end : 1);
}

bool bend_straight(const EditContext& c, DraftLoop* d, std::size_t segment) {
  if (!d->segments[segment].straight || d->segments[segment].way_back) return false;
  const bool misses = segment_error(c.loop, *d, segment).max_px > straight_tolerance_px(c.loop);
  // What is level or vertical was meant to be: straightening has its own rule for what leans on purpose. What lies on
  // one line with another was meant to be straight.
  if (!misses && (off_axis_deg(start_angle(*d, segment)) <= snap_deg || d->segments[segment].runs_on)) return false;
  const double least = least_bend(*d, segment);
  // A line that leaves less than half of what a bend must be worth needs no trial: its neighbours hardly gain the rest.
  if (!misses && !is_significant(c.loop, square_sum_px3(c.loop, *d, segment), 0.5 * least)) return false;
  DraftLoop next = bent(c, *d, segment);
  const Window is = Window::around(next, segment, 2, 2);
  EditCandidate edit{std::move(next), is,           is,
                     is.flags(),      steps::usual, misses ? allowance::bend_that_missed : allowance::bend(least)};
  // Handles within a tenth of the tolerance of the chord are advised against (advise_outlines); the solves that follow
  // may flatten the curve a little. And the curve is a flat one, not a wavering one.
  constexpr double least_bulge = 0.25;
  if (!misses)
    edit.keeps_promise = [&](const DraftLoop& solved) {
      return bulge_px(cubic_of(solved, segment)) >= least_bulge * c.loop.tolerance_px &&
             bumps_round(solved, segment) <= bumps_round(*d, segment);
    };
  return try_edit(c, std::move(edit), d);
}

}  // namespace batten
