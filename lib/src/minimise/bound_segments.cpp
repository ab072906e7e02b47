#include "minimise/bound_segments.h"

#include <algorithm>

#include "base/parallel.h"
#include "fit/fit_cubic.h"
#include "fit/segment_data.h"
#include "fit/smooth_node.h"

namespace batten {
namespace {

constexpr double slack = 1.05;        // a polished fit is not quite the best one
constexpr double whole_share = 0.98;  // of a loop: a stretch that closes on itself has no chord
constexpr int directions = 12;        // looked along, over half a turn
constexpr int lines_a_direction = 9;  // looked for crossings of

// Segments of the draft between two fixed nodes, or all round (from == to, ring).
struct BoundedStretch {
  double from = 0, length_px = 0, zone0 = 0, zone1 = 0;
  bool ring = false;
  std::vector<double> ends;   // of the draft's segments, as lengths of loop from `from`
  std::vector<char> holding;  // whether each holds the limit
};

bool is_fixed(const DraftNode& j, bool extremes_required) {
  if (j.corner) return true;
  return extremes_required && j.reason != Reason::added;
}

std::vector<BoundedStretch> stretches_of(const SpacedLoop& loop, const DraftLoop& d, bool extremes_required) {
  const std::size_t n = d.size();
  std::vector<std::size_t> fixed;
  for (std::size_t i = 0; i < n; ++i)
    if (is_fixed(d.nodes[i], extremes_required)) fixed.push_back(i);
  const bool ring = fixed.empty();
  if (ring) fixed.push_back(0);
  std::vector<BoundedStretch> out;
  for (std::size_t k = 0; k < fixed.size(); ++k) {
    const std::size_t first = fixed[k], last = fixed[(k + 1) % fixed.size()];
    if (d.segments[first].way_back) continue;
    const DraftNode &a = d.nodes[first], &b = d.nodes[last];
    BoundedStretch s;
    s.ring = ring;
    s.from = a.arc;
    s.length_px = first == last ? loop.curve.length_px() : loop.curve.ahead(a.arc, b.arc);
    s.zone0 = a.untrusted_px(), s.zone1 = b.untrusted_px();
    std::size_t i = first;
    do {
      const std::size_t e = d.next(i);
      s.ends.push_back(e == last ? s.length_px : loop.curve.ahead(a.arc, d.nodes[e].arc));
      s.holding.push_back(segment_error(loop, d, i).max_px <= loop.limit_px);
      i = e;
    } while (i != last);
    out.push_back(std::move(s));
  }
  return out;
}

// Points of the part [from, to] (lengths along the stretch) that count, zones of corners left out.
std::vector<Point> points_that_count(const SpacedLoop& loop, const BoundedStretch& s, double from, double to) {
  const double a = s.ring ? from : std::max(from, s.zone0), b = s.ring ? to : std::min(to, s.length_px - s.zone1);
  std::vector<Point> out;
  for (double u = a; u <= b; u += loop.curve.step_px) out.push_back(loop.curve.at(s.from + u));
  return out;
}

int crossings_of_level(const std::vector<double>& v, double level, double margin) {
  int crossings = 0, side = 0;
  for (const double x : v) {
    const int now = x > level + margin ? 1 : x < level - margin ? -1 : 0;
    if (now == 0 || now == side) continue;
    crossings += side != 0;
    side = now;
  }
  return crossings;
}

// Two extremes and three crossings are what the degree of a cubic allows.
bool refused_by_degree(const SpacedLoop& loop, const BoundedStretch& s, double from, double to) {
  const std::vector<Point> points = points_that_count(loop, s, from, to);
  if (points.size() < 5) return false;
  std::vector<double> v(points.size());
  for (int k = 0; k < directions; ++k) {
    const Point d = direction(pi * k / directions);
    for (std::size_t i = 0; i < v.size(); ++i) v[i] = dot(points[i], d);
    if (turning_points(v, 2 * loop.limit_px).size() > 2) return true;
    const auto [lo, hi] = std::minmax_element(v.begin(), v.end());
    for (int q = 1; q <= lines_a_direction; ++q)
      if (crossings_of_level(v, *lo + (*hi - *lo) * q / (lines_a_direction + 1), loop.limit_px) > 3) return true;
  }
  return false;
}

bool refused_by_fit(const SpacedLoop& loop, const BoundedStretch& s, double from, double to) {
  const double zone0 = !s.ring && from <= 0 ? s.zone0 : 0, zone1 = !s.ring && to >= s.length_px ? s.zone1 : 0;
  const double length_px = to - from, a = s.from + from, b = s.from + to;
  const SegmentData data = points_between(loop, a, b, zone0, zone1, std::max(loop.curve.step_px, length_px / 60));
  const double half = std::min(0.3 * length_px, direction_window_px(loop));
  const LocalFit start = local_quadratic(loop.curve, a + zone0, a + zone0 + half, a);
  const LocalFit end = local_quadratic(loop.curve, b - zone1 - half, b - zone1, b);
  CubicTask task{data.points, data.weights, start.at, end.at, start.tangent, end.tangent, true, true};
  task.sliding = true;
  for (const bool capped : {false, true})
    for (const bool minimax : {false, true}) {
      task.capped = capped, task.minimax = minimax;
      const double worst = fit_cubic(task).max_px;
      if (worst <= slack * loop.limit_px) return false;
      if (!minimax && worst > 4 * loop.limit_px) break;  // no polish gains that much
    }
  return true;
}

// The first place beyond `least` at which a test refuses the stretch from `from` to it; `end` where it refuses none.
template <class Refused>
double first_refused(const SpacedLoop& loop, double from, double least, double end, Refused&& refused) {
  if (least >= end || !refused(from, end)) return end;
  double good = least, bad = end;
  for (double step = std::max(4.0, 0.2 * (least - from)); good + step < bad; step *= 2) {
    if (refused(from, good + step)) {
      bad = good + step;
      break;
    }
    good += step;
  }
  const double fine = std::max(2 * loop.curve.step_px, 0.01 * (bad - from));
  while (bad - good > fine) {
    const double mid = 0.5 * (good + bad);
    (refused(from, mid) ? bad : good) = mid;
  }
  return bad;  // refused: a node lies before it
}

// How many disjoint refused parts lie within length_px from `from` on.
template <class Refused, class Least>
std::size_t refused_parts(const SpacedLoop& loop, double from, double length_px, Refused&& refused, Least&& least) {
  std::size_t parts = 0;
  const double end = from + length_px, longest = whole_share * loop.curve.length_px();
  for (double at = from; at < end;) {
    const double stop = std::min(end, at + longest);
    const double next = first_refused(loop, at, std::min(stop, least(at)), stop, refused);
    if (next >= stop) break;
    ++parts;
    at = next;
  }
  return parts;
}

// The end of the draft's own segment at `at` where that holds: one cubic is known to do.
double known_end(const BoundedStretch& s, double at) {
  const double lap = s.ring && at >= s.length_px ? s.length_px : 0;
  for (std::size_t i = 0; i < s.ends.size(); ++i)
    if (at - lap < s.ends[i]) return s.holding[i] ? s.ends[i] + lap : at;
  return at;
}

}  // namespace

LowerBound bound_of(const SpacedLoop& loop, const DraftLoop& d, bool extremes_required, const std::stop_token& stop) {
  LowerBound out;
  for (const BoundedStretch& s : stretches_of(loop, d, extremes_required)) {
    // A smooth closed cubic does not exist: its tangents at the one node would have to agree (it would be a line).
    const std::size_t fewest = s.ring ? 2 : 1;
    if (s.ends.size() <= fewest) {
      out.proven += s.ends.size(), out.numerical += s.ends.size();
      continue;
    }
    const auto by_degree = [&](double a, double b) { return refused_by_degree(loop, s, a, b); };
    // When asked to stop nothing is refused any more, and the counts end at once.
    const auto by_fit = [&](double a, double b) { return !stop.stop_requested() && refused_by_fit(loop, s, a, b); };
    std::size_t proven = fewest, numerical = fewest;
    const int starts = s.ring ? 4 : 1;  // a ring's bound depends on where the count begins
    for (int k = 0; k < starts && !stop.stop_requested(); ++k) {
      const double from = s.ring ? s.length_px * k / starts : 0;
      const std::size_t more = s.ring ? 0 : 1;
      proven = std::max(proven, more + refused_parts(loop, from, s.length_px, by_degree, [](double at) { return at; }));
      if (proven >= s.ends.size()) break;
      numerical = std::max(numerical, more + refused_parts(loop, from, s.length_px, by_fit,
                                                           [&](double at) { return known_end(s, at); }));
      if (numerical >= s.ends.size()) break;
    }
    if (proven > fewest) out.argument = LowerBound::Argument::degree;
    proven = std::min(s.ends.size(), proven);
    out.proven += proven;
    // A draft that is over the limit somewhere may have too few: that is a finding, not a bound.
    out.numerical += std::min(s.ends.size(), std::max(proven, numerical));
  }
  return out;
}

Result<std::vector<LowerBound>> bound_segments(const SpacedLoops& loops, const Draft& draft, const Options& options,
                                               Progress& progress) {
  std::vector<LowerBound> out(draft.loops.size());
  share_out_by_size(
      lengths_of(loops), options.threads,
      [&](std::size_t k) {  // loops know nothing of each other
        if (progress.stopped()) return;
        out[k] = bound_of(loops.loops[k], draft.loops[k], options.extremes == Options::Extremes::required,
                          progress.stop_token());
      },
      [](std::size_t) {});
  if (progress.stopped()) return progress.cancelled();
  return out;
}

}  // namespace batten
