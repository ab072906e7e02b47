#include "minimise/minimise_segments.h"

#include <algorithm>
#include <limits>

#include "base/parallel.h"
#include "fit/segment_data.h"
#include "fit/smooth_node.h"
#include "minimise/corner_span.h"
#include "minimise/fewest_segments.h"

namespace batten {
namespace {

// Pairs grow with the square; a span between extremes rarely needs three cubics, a long one without them many.
constexpr int fewest_candidates = 28, most_candidates = 100;
constexpr double candidate_gap_px = 12;

// Ends in a row that one cubic does not reach: a farther one that it would reach was not seen after two. Without this
// rule noise, where nothing is far over the limit and nothing within it, costs the square of the candidates.
constexpr std::size_t most_over = 6;

struct Table {
  std::vector<StretchEnd> ends;
  std::vector<std::vector<double>> error;  // < 0: not fitted yet
};

double error_of(const SpacedLoop& loop, Table* t, std::size_t i, std::size_t j, double limit_px) {
  double& e = t->error[i][j];
  if (e < 0) e = fit_stretch(loop, t->ends[i], t->ends[j], limit_px, false, true, true).max_px;
  return e;
}

struct TwoSegments {
  std::size_t at = 1;  // the candidate between them
  double worst_px = std::numeric_limits<double>::infinity(), cost = worst_px;
};

void try_two(const SpacedLoop& loop, Table* t, double limit_px, std::size_t k, TwoSegments* best) {
  const auto cost_of = [&](double e0, double e1) {
    return std::max(e0, e1) > limit_px ? 1e6 + std::max(e0, e1) : e0 * e0 + e1 * e1;
  };
  const double e0 = error_of(loop, t, 0, k, limit_px);
  if (cost_of(e0, 0) >= best->cost) return;  // whatever the second segment does
  const double e1 = error_of(loop, t, k, t->ends.size() - 1, limit_px);
  if (cost_of(e0, e1) < best->cost) *best = {k, std::max(e0, e1), cost_of(e0, e1)};
}

// The best place for one node between the first and the last candidate. Its cost hardly has two valleys: every third
// candidate, then those beside the best; all of them only where none has held the limit.
TwoSegments best_two(const SpacedLoop& loop, Table* t, double limit_px, const std::stop_token& stop) {
  TwoSegments best;
  const std::size_t last = t->ends.size() - 1;
  for (std::size_t k = last > 6 ? 2 : 1; k < last && !stop.stop_requested(); k += last > 6 ? 3 : 1)
    try_two(loop, t, limit_px, k, &best);
  const std::size_t middle = best.at;
  for (std::size_t k = std::max<std::size_t>(3, middle) - 2; k < std::min(last, middle + 3) && !stop.stop_requested();
       ++k)
    try_two(loop, t, limit_px, k, &best);
  for (std::size_t k = 1; k < last && best.worst_px > limit_px && !stop.stop_requested(); ++k)
    try_two(loop, t, limit_px, k, &best);
  return best;
}

// least[k]: the first candidate from which the last can be reached in k segments, up to the k that begins at the first;
// what lies before it can't, since a longer stretch is never easier. Empty if there is no way.
std::vector<std::size_t> walk_back(const SpacedLoop& loop, Table* t, double limit_px, const std::stop_token& stop,
                                   int most) {
  std::vector<std::size_t> least{t->ends.size() - 1};
  std::vector<char> reaches(t->ends.size(), 0);
  reaches.back() = 1;
  while (least.back() > 0 && int(least.size()) <= most) {
    const std::size_t goal = least.back();
    std::size_t first = goal;
    for (std::size_t i = goal, over = 0; i-- > 0 && over < most_over && !stop.stop_requested(); ++over) {
      for (std::size_t j = goal; j < std::min(goal + 2, t->ends.size()) && !reaches[i]; ++j)
        reaches[i] = reaches[j] && error_of(loop, t, i, j, limit_px) <= limit_px;
      if (reaches[i]) first = i, over = 0;
    }
    if (first == goal) return {};
    least.push_back(first);
  }
  if (least.back() > 0) return {};
  return least;
}

// Fewest segments from the first to the last candidate, and of those the way of the smallest sum of squared errors;
// empty if the span can't be held.
std::vector<std::size_t> fewest(const SpacedLoop& loop, Table* t, double limit_px, const std::stop_token& stop,
                                int most) {
  const std::size_t n = t->ends.size();
  struct Best {
    int count = std::numeric_limits<int>::max();
    double cost = 0;
    std::size_t from = 0;
  };
  std::vector<Best> best(n);
  best[0] = {0, 0, 0};
  const std::vector<std::size_t> least = walk_back(loop, t, limit_px, stop, most);
  if (!least.empty()) most = int(least.size()) - 1;
  const auto first_of_use = [&](int segments_left) { return least.empty() ? 0 : least[std::size_t(segments_left)]; };
  for (std::size_t i = 0; i + 1 < n; ++i) {
    if (best[i].count >= most || i < first_of_use(most - best[i].count)) continue;
    std::size_t misses = 0, over = 0;
    const std::size_t first = std::max(i + 1, first_of_use(most - best[i].count - 1));
    for (std::size_t j = first; j < n && misses < 3 && over < most_over && !stop.stop_requested(); ++j) {
      if (best[j].count == best[i].count + 1 && best[j].cost <= best[i].cost) continue;
      const double e = error_of(loop, t, i, j, limit_px);
      if (e > 3 * limit_px) ++misses;
      if (e > limit_px) {
        ++over;
        continue;
      }
      over = 0;
      const Best b{best[i].count + 1, best[i].cost + e * e, i};
      if (b.count < best[j].count || (b.count == best[j].count && b.cost < best[j].cost)) best[j] = b;
    }
  }
  std::vector<std::size_t> path;
  if (best[n - 1].count > most) return path;
  for (std::size_t k = n - 1; k != 0; k = best[k].from) path.push_back(k);
  std::reverse(path.begin(), path.end());
  return path;
}

}  // namespace

double fit_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, bool minimax, bool only_held) {
  DraftSegment& p = d->segments[segment];
  if (p.straight) return 0;
  const std::size_t e = d->next(segment);
  StretchEnd a = stretch_end(d->nodes[segment], start_angle(*d, segment)),
             b = stretch_end(d->nodes[e], end_angle(*d, segment));
  a.free = a.free && !p.start.on_axis, b.free = b.free && !p.end.on_axis;
  const SegmentFit fit = fit_stretch(loop, a, b, loop.limit_px, minimax, true, only_held);
  p.start.handle_px = distance(fit.curve[0], fit.curve[1]);
  p.end.handle_px = distance(fit.curve[2], fit.curve[3]);
  if (a.free) p.start.angle_rad = angle_of(start_tangent(fit.curve));
  if (b.free) p.end.angle_rad = angle_of(end_tangent(fit.curve));
  return fit.max_px;
}

int split_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, double limit_px,
                  const std::stop_token& stop, int most) {
  const std::size_t e = d->next(segment);
  Table t;
  const StretchEnd a = stretch_end(d->nodes[segment], start_angle(*d, segment));
  const StretchEnd b = stretch_end(d->nodes[e], end_angle(*d, segment));
  const double way = loop.curve.ahead(a.arc, b.arc), least_gap = std::max(3.0, 0.5 * loop.scale_px);
  const int n = std::clamp(int(way / least_gap) - 1, 1,
                           std::clamp(int(way / candidate_gap_px), fewest_candidates, most_candidates));
  std::vector<DraftNode> nodes(std::size_t(n) + 2);
  t.ends.push_back(a);
  for (int k = 1; k <= n; ++k) {
    DraftNode& j = nodes[std::size_t(k)];
    j = smooth_node(loop, a.arc + way * k / (n + 1), Reason::added);
    t.ends.push_back({j.at, j.arc, j.angle, 0, false});
  }
  t.ends.push_back(b);
  t.error.assign(t.ends.size(), std::vector<double>(t.ends.size(), -1));
  // Two segments are by far the most common answer: look there first.
  std::vector<std::size_t> path;
  const std::size_t last = t.ends.size() - 1;
  const TwoSegments two = best_two(loop, &t, limit_px, stop);
  if (two.worst_px <= limit_px || most <= 2)
    path = {two.at, last};
  else
    path = fewest(loop, &t, limit_px, stop, most);
  if (path.empty()) path = {two.at, last};
  std::size_t where = segment;
  for (std::size_t k = 0; k + 1 < path.size(); ++k) {
    ++where;
    d->nodes.insert(d->nodes.begin() + std::ptrdiff_t(where), nodes[path[k]]);
    d->segments.insert(d->segments.begin() + std::ptrdiff_t(where), DraftSegment{});
    d->segments[where].end.angle_rad = d->segments[where - 1].end.angle_rad;
    d->segments[where].end.on_axis = d->segments[where - 1].end.on_axis;
    d->segments[where - 1].end.on_axis = false;
  }
  settle_angles(d);
  for (std::size_t k = segment; k <= where; ++k) fit_segment(loop, d, k, false);
  settle_angles(d);
  return int(path.size());
}

namespace {

void fit_all(const SpacedLoop& loop, DraftLoop* d) {
  settle_angles(d);
  for (std::size_t i = 0; i < d->size(); ++i) fit_segment(loop, d, i, false);
  settle_angles(d);
}

// Share of the limit that segments are counted with: they are measured more densely later.
constexpr double held = 0.98;

// Do the cubics among `segments` segments from `first` on hold the limit? A count that does not is no bar for one that
// does.
bool hold(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t segments) {
  for (std::size_t k = first; k < first + segments; ++k) {
    const std::size_t i = k % d.size();
    if (!d.segments[i].straight && segment_error(loop, d, i).max_px > loop.limit_px) return false;
  }
  return true;
}

// A loop without corners: all its nodes may lie anywhere.
void free_ring(const SpacedLoop& loop, DraftLoop* d) {
  const FewestSegments ring = fewest_on_ring(loop, held * loop.limit_px);
  if (!ring.found || ring.nodes.size() < 2) return;
  if (ring.nodes.size() >= d->size() && hold(loop, *d, 0, d->size())) return;
  d->nodes = ring.nodes;
  d->segments.assign(ring.nodes.size(), DraftSegment{});
  fit_all(loop, d);
}

// Only corners are fixed: from one to the next, fewer segments than stand there.
void free_between_corners(const SpacedLoop& loop, DraftLoop* d) {
  if (!begin_at_corner(d)) return free_ring(loop, d);
  for (std::size_t i = 0, segments = 1; i < d->size(); i += segments) {
    segments = segments_to_corner(*d, i);
    const CornerSpan span = corner_span(loop, *d, i, segments);
    const FewestSegments fewest = fewest_segments(loop, span.from, span.to, span.way_px, held * loop.limit_px);
    if (!fewest.found || (span.closed && fewest.nodes.empty())) continue;
    if (fewest.nodes.size() + 1 >= segments && hold(loop, *d, i, segments)) continue;
    put_in_span(d, span, fewest.nodes);
    segments = fewest.nodes.size() + 1;
  }
  fit_all(loop, d);
}

// Moves the straight's end at one end of the segment back along the straight; the line itself stays. False where there
// is no smooth straight, or too little of it would be left.
bool trim_straight(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, bool start, double by_px) {
  const std::size_t node = start ? segment : d->next(segment), line = start ? d->previous(segment) : node;
  if (d->nodes[node].corner || !d->segments[line].straight || line == segment) return false;
  const Point far = d->nodes[start ? line : d->next(line)].at;
  DraftNode& j = d->nodes[node];
  constexpr double most = 0.4;  // of the straight: it was seen from end to end, only where it ends is not sharp
  if (by_px > most * distance(far, j.at)) return false;
  j.at = j.anchor = j.at + by_px * unit(far - j.at);
  j.arc = loop.curve.wrap(j.arc + (start ? -by_px : by_px));
  return true;
}

// A straight that runs on into the round beside it leaves the curve a step that no cubic takes: before the curve is
// split, the straights beside it are shortened to where one cubic fits best.
bool hold_by_trimming(const SpacedLoop& loop, DraftLoop* d, std::size_t segment) {
  double least = loop.limit_px;
  DraftLoop best;
  for (const auto& [start, end] : {std::pair{true, false}, std::pair{false, true}, std::pair{true, true}}) {
    for (double by : {0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0}) {
      DraftLoop next = *d;
      if (start && !trim_straight(loop, &next, segment, true, by * loop.scale_px)) break;
      if (end && !trim_straight(loop, &next, segment, false, by * loop.scale_px)) break;
      const double error = fit_segment(loop, &next, segment, false, true);
      if (error < least) least = error, best = std::move(next);
    }
  }
  if (best.size() == 0) return false;
  *d = std::move(best);
  return true;
}

}  // namespace

Result<Draft> minimise_segments(const SpacedLoops& loops, const Draft& placed, const Options& options,
                                Progress& progress) {
  Draft out = placed;
  const auto count = [&](std::size_t k) {  // loops know nothing of each other
    const SpacedLoop& loop = loops.loops[k];
    DraftLoop& d = out.loops[k];
    for (std::size_t i = 0; i < d.size() && !progress.stopped(); ++i) {
      if (d.segments[i].straight) continue;
      if (fit_segment(loop, &d, i, false) > loop.limit_px && !hold_by_trimming(loop, &d, i))
        i += std::size_t(split_segment(loop, &d, i, loop.limit_px, progress.stop_token()) - 1);
    }
    settle_angles(&d);
    if (options.extremes == Options::Extremes::free && !progress.stopped()) free_between_corners(loop, &d);
  };
  const double all = double(std::max<std::size_t>(1, out.loops.size()));
  share_out_by_size(lengths_of(loops), options.threads, count,
                    [&](std::size_t done) { progress.advance(double(done) / all); });
  if (progress.stopped()) return progress.cancelled();
  return out;
}

}  // namespace batten
