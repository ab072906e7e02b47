#include "minimise/fewest_segments.h"

#include <algorithm>
#include <limits>

#include "fit/fit_cubic.h"
#include "fit/segment_data.h"
#include "fit/smooth_node.h"

namespace batten {
namespace {

// A node may lie anywhere, the count hardly cares: halving a gap of 6 px saved 1.5 % of the segments.
constexpr double finest_gap_px = 4;
constexpr std::size_t most_candidates = 400;  // keeps the longest loops to about a second
constexpr int most_misses = 2;                // feasible again after this many infeasible ends: not seen
constexpr std::size_t looked_at = 7;          // candidates for one node when paths of equal count are compared

// Candidates along a stretch; those of a ring are walked round and round.
class Reaches {
 public:
  Reaches(const SpacedLoop& loop, std::vector<StretchEnd> ends, std::vector<DraftNode> nodes, double limit_px,
          bool ring)
      : loop_(loop), ends_(std::move(ends)), nodes_(std::move(nodes)), limit_px_(limit_px), ring_(ring) {}

  std::size_t size() const { return ends_.size(); }
  double limit_px() const { return limit_px_; }
  const DraftNode& node(std::size_t i) const { return nodes_[i % size()]; }
  // Largest distance of one cubic from candidate i to candidate j > i.
  double error(std::size_t i, std::size_t j) const {
    return fit_stretch(loop_, ends_[i % size()], ends_[j % size()], limit_px_, false, true, true).max_px;
  }
  bool holds(std::size_t i, std::size_t j) const { return error(i, j) <= limit_px_; }

  // Part of a cubic is a cubic, but its handles may pass the meeting point of its tangents (just past an inflection):
  // what only that rule forbids does not end the reach.
  bool holds_uncapped(std::size_t i, std::size_t j) const {
    return fit_stretch(loop_, ends_[i % size()], ends_[j % size()], limit_px_, false, false, true).max_px <= limit_px_;
  }

  // The farthest candidate that one cubic reaches from each; i itself where it reaches none.
  const std::vector<std::size_t>& farthest() {
    if (!far_.empty()) return far_;
    const std::size_t n = size();
    far_.resize(n);
    std::size_t known = 1;  // from the candidate before
    for (std::size_t i = 0; i < n; ++i) {
      const std::size_t end = ring_ ? i + n - 2 : n - 1;  // a segment that closes on itself has no chord
      std::size_t j = std::max(known, i + 1), good = i;
      for (int misses = 0; j <= end && misses < most_misses; ++j) {
        if (holds(i, j))
          good = j, misses = 0;
        else if (!holds_uncapped(i, j))
          ++misses;
      }
      if (good == i)  // the reach shrank
        for (j = std::min(known, end); j > i && good == i; --j)
          if (holds(i, j)) good = j;
      far_[i] = good;
      known = std::max(good, i + 1);
    }
    return far_;
  }

 private:
  const SpacedLoop& loop_;
  std::vector<StretchEnd> ends_;
  std::vector<DraftNode> nodes_;
  double limit_px_;
  bool ring_;
  std::vector<std::size_t> far_;
};

// Walk from candidate `start` to `goal` with the fewest steps: each step may start anywhere that the last could reach.
std::vector<std::size_t> shortest_path(Reaches* r, std::size_t start, std::size_t goal) {
  const std::vector<std::size_t>& far = r->farthest();
  const std::size_t n = r->size();
  const auto reach = [&](std::size_t i) { return far[i % n] + (i / n) * n; };
  std::vector<std::size_t> from_of;  // the candidate from which step k got farthest
  std::vector<std::size_t> front{start};
  std::size_t seen = start;
  while (front.back() < goal) {
    std::size_t best = front.back(), from = seen;
    const std::size_t first = front.size() == 1 ? start : seen + 1;
    for (std::size_t i = first; i <= front.back(); ++i)
      if (reach(i) > best) best = reach(i), from = i;
    if (best == front.back()) return {};
    seen = front.back();
    front.push_back(std::min(best, goal));
    from_of.push_back(from);
  }
  // Back from the goal: the step before last must end where the last one starts; farther is not asked for.
  std::vector<std::size_t> path{goal};
  for (std::size_t k = from_of.size(); k-- > 1;) path.push_back(from_of[k]);
  std::reverse(path.begin(), path.end());
  return path;
}

// Of paths of this count the one of least summed squared error: a node k may move back as long as the path from it to
// the goal still closes.
std::vector<std::size_t> balanced(Reaches* r, std::size_t start, const std::vector<std::size_t>& path) {
  const std::vector<std::size_t>& far = r->farthest();
  const std::size_t n = r->size(), steps = path.size();
  const auto reach = [&](std::size_t i) { return far[i % n] + (i / n) * n; };
  if (steps < 2) return path;
  // Lowest place of each node from which the rest can still be reached.
  std::vector<std::size_t> lowest(steps);
  lowest[steps - 1] = path[steps - 1];
  for (std::size_t k = steps - 1; k-- > 0;) {
    std::size_t low = path[k];
    while (low > start + k + 1 && reach(low - 1) >= lowest[k + 1]) --low;
    lowest[k] = low;
  }
  constexpr double broken = 1e9;  // over the limit: only where nothing else closes
  struct State {
    std::size_t at;
    double cost;
    std::size_t from;
  };
  std::vector<std::vector<State>> layer{{{start, 0, 0}}};
  for (std::size_t k = 0; k < steps; ++k) {
    std::vector<State> next;
    const std::size_t wide = path[k] - lowest[k], count = k + 1 == steps ? 1 : std::min(looked_at, wide + 1);
    for (std::size_t q = 0; q < count; ++q) {
      const std::size_t at = count == 1 ? path[k] : lowest[k] + wide * q / (count - 1);
      State best{at, std::numeric_limits<double>::infinity(), 0};
      for (std::size_t p = 0; p < layer.back().size(); ++p) {
        const State& s = layer.back()[p];
        if (s.at >= at || reach(s.at) < at || s.cost >= best.cost) continue;
        const double e = r->error(s.at, at), cost = s.cost + e * e + (e > r->limit_px() ? broken : 0);
        if (cost < best.cost) best.cost = cost, best.from = p;
      }
      if (best.cost < std::numeric_limits<double>::infinity()) next.push_back(best);
    }
    if (next.empty()) return path;
    layer.push_back(std::move(next));
  }
  std::vector<std::size_t> out(steps);
  std::size_t at = 0;
  for (std::size_t k = steps; k > 0; --k) {
    out[k - 1] = layer[k][at].at;
    at = layer[k][at].from;
  }
  return out;
}

// Largest distance from the curve to the polyline of the points: a spur is near every point and far from all of them.
double spur_px(const Cubic& c, const std::vector<Point>& points, Point first, Point last) {
  constexpr int samples = 24;
  double worst = 0;
  for (int k = 1; k < samples; ++k) {
    const Point p = evaluate(c, k / double(samples));
    double nearest2 = std::numeric_limits<double>::infinity();
    Point a = first;
    const auto look = [&](Point b) {
      const Point way = b - a;
      const double share = std::clamp(dot(p - a, way) / std::max(norm2(way), 1e-12), 0.0, 1.0);
      nearest2 = std::min(nearest2, norm2(p - (a + share * way)));
      a = b;
    };
    for (const Point b : points) look(b);
    look(last);
    worst = std::max(worst, nearest2);
  }
  return std::sqrt(worst);
}

double candidate_gap_px(const SpacedLoop& loop, double way_px) {
  return std::max({finest_gap_px, 0.5 * loop.band_px, way_px / double(most_candidates)});
}

}  // namespace

StretchEnd stretch_end(const DraftNode& j, double angle) {
  return {j.at, j.arc, angle, j.corner ? j.zone_px : 0, j.corner};
}

SegmentFit fit_stretch(const SpacedLoop& loop, const StretchEnd& a, const StretchEnd& b, double limit_px, bool minimax,
                       bool capped, bool only_held) {
  const double way = loop.curve.ahead(a.arc, b.arc);
  const SegmentData data =
      points_between(loop, a.arc, b.arc, a.zone_px, b.zone_px, std::max(loop.curve.step_px, way / 60));
  CubicTask task{data.points, data.weights, a.at, b.at, direction(a.angle), direction(b.angle), a.free, b.free, true};
  task.capped = capped;
  constexpr double mendable = 2.5;  // a minimax polish never gained more than this factor
  if (only_held && !minimax) task.minimax_enough_px = limit_px;
  if (only_held) task.hopeless_px = limit_px;
  if (!minimax) task.minimax_above_px = limit_px, task.minimax_below_px = mendable * limit_px;
  CubicFit fit = fit_cubic(task);
  if (fit.max_px <= limit_px) {
    // The chords of the points cut inside a bend by less than this.
    const double slack = 0.1 * limit_px, spur = spur_px(fit.curve, data.points, a.at, b.at);
    if (spur > limit_px + slack + a.zone_px + b.zone_px) fit.max_px = spur;
  }
  return {fit.curve, fit.max_px};
}

FewestSegments fewest_segments(const SpacedLoop& loop, const StretchEnd& from, const StretchEnd& to, double way_px,
                               double limit_px, double coarser) {
  const auto n = std::size_t(std::max(2.0, way_px / (coarser * candidate_gap_px(loop, way_px))));
  std::vector<StretchEnd> ends{from};
  std::vector<DraftNode> nodes(1);
  for (std::size_t k = 1; k < n; ++k) {
    nodes.push_back(smooth_node(loop, from.arc + way_px * double(k) / double(n), Reason::added));
    ends.push_back(stretch_end(nodes.back(), nodes.back().angle));
  }
  ends.push_back(to);
  nodes.emplace_back();
  Reaches reaches(loop, std::move(ends), std::move(nodes), limit_px, false);
  FewestSegments out;
  const std::vector<std::size_t> path = shortest_path(&reaches, 0, n);
  if (path.empty()) return out;
  out.found = true;
  for (std::size_t k : balanced(&reaches, 0, path))
    if (k != n) out.nodes.push_back(reaches.node(k));
  return out;
}

FewestSegments fewest_on_ring(const SpacedLoop& loop, double limit_px) {
  const double len = loop.curve.length_px();
  const auto n = std::size_t(std::max(4.0, len / candidate_gap_px(loop, len)));
  std::vector<StretchEnd> ends;
  std::vector<DraftNode> nodes;
  for (std::size_t k = 0; k < n; ++k) {
    nodes.push_back(smooth_node(loop, len * double(k) / double(n), Reason::added));
    ends.push_back(stretch_end(nodes.back(), nodes.back().angle));
  }
  Reaches reaches(loop, std::move(ends), std::move(nodes), limit_px, true);
  FewestSegments out;
  std::vector<std::size_t> best;
  std::size_t best_start = 0;
  for (std::size_t s = 0; s <= reaches.farthest()[0] && s < n; ++s) {
    const std::vector<std::size_t> path = shortest_path(&reaches, s, s + n);
    if (!path.empty() && (best.empty() || path.size() < best.size())) best = path, best_start = s;
  }
  if (best.empty()) return out;
  out.found = true;
  for (std::size_t k : balanced(&reaches, best_start, best)) out.nodes.push_back(reaches.node(k));
  return out;
}

}  // namespace batten
