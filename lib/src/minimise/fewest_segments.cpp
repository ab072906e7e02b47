#include "minimise/fewest_segments.h"

#include <algorithm>
#include <limits>

#include "fit/smooth_node.h"

namespace batten {
namespace {

// A node may lie anywhere, the count hardly cares: halving a gap of 6 px saved 1.5 % of the segments.
constexpr double finest_gap_px = 4;
constexpr std::size_t most_candidates = 400;  // keeps the longest loops to about a second
constexpr int most_misses = 2;                // an end farther on that held after so many that did not was never seen
constexpr std::size_t looked_at = 7;          // candidates for one node when paths of equal count are compared

// Candidates for nodes along a stretch; those of a ring are walked round and round, so that i + size is i a lap later.
class StretchCandidates {
 public:
  StretchCandidates(const SpacedLoop& loop, double limit_px, bool ring)
      : loop_(loop), limit_px_(limit_px), ring_(ring) {}
  void add(const DraftNode& node) { add(node, stretch_end(node, node.angle)); }
  void add(const DraftNode& node, const StretchEnd& end) { nodes_.push_back(node), ends_.push_back(end); }

  std::size_t size() const { return ends_.size(); }
  double limit_px() const { return limit_px_; }
  const DraftNode& node(std::size_t i) const { return nodes_[i % size()]; }
  // Largest distance of one cubic from candidate i to candidate j > i.
  double error_px(std::size_t i, std::size_t j, bool capped = true) const {
    return fit_stretch(loop_, ends_[i % size()], ends_[j % size()], limit_px_, {.capped = capped, .only_if_held = true})
        .max_px;
  }
  // The farthest candidate that one cubic gets to from i; i itself where it gets to none.
  std::size_t farthest_from(std::size_t i) const { return farthest_[i % size()] + i / size() * size(); }
  void find_farthest();

 private:
  const SpacedLoop& loop_;
  double limit_px_;
  bool ring_;
  std::vector<StretchEnd> ends_;
  std::vector<DraftNode> nodes_;
  std::vector<std::size_t> farthest_;
};

void StretchCandidates::find_farthest() {
  const std::size_t n = size();
  const auto holds = [&](std::size_t i, std::size_t j) { return error_px(i, j) <= limit_px_; };
  // Part of a cubic is a cubic, but its handles may pass the meeting point of its tangents (just past an inflection):
  // what only that rule forbids is no miss.
  const auto holds_uncapped = [&](std::size_t i, std::size_t j) { return error_px(i, j, false) <= limit_px_; };
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
    if (good == i)  // it gets less far than the candidate before
      for (j = std::min(known, end); j > i && good == i; --j)
        if (holds(i, j)) good = j;
    farthest_.push_back(good);
    known = std::max(good, i + 1);
  }
}

// From candidate `start` to `goal` with the fewest steps: each step may start anywhere that the last could get to. The
// ends of the steps; empty if there is no path.
std::vector<std::size_t> shortest_path(const StretchCandidates& c, std::size_t start, std::size_t goal) {
  std::vector<std::size_t> from_of;  // the candidate from which step k got farthest
  std::vector<std::size_t> front{start};
  std::size_t seen = start;
  while (front.back() < goal) {
    std::size_t best = front.back(), from = seen;
    const std::size_t first = front.size() == 1 ? start : seen + 1;
    for (std::size_t i = first; i <= front.back(); ++i)
      if (c.farthest_from(i) > best) best = c.farthest_from(i), from = i;
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

// Among paths of the same count the one with the smallest sum of squared errors: node k may move back as long as the
// path from it to the goal still closes.
std::vector<std::size_t> balanced(const StretchCandidates& c, std::size_t start, const std::vector<std::size_t>& path) {
  const std::size_t steps = path.size();
  if (steps < 2) return path;
  // Lowest place of each node from which the rest can still be reached.
  std::vector<std::size_t> lowest = path;
  for (std::size_t k = steps - 1; k-- > 0;)
    while (lowest[k] > start + k + 1 && c.farthest_from(lowest[k] - 1) >= lowest[k + 1]) --lowest[k];
  constexpr double broken = 1e9;  // over the limit: only where nothing else closes
  constexpr double no_path = std::numeric_limits<double>::infinity();
  struct PathEnd {
    std::size_t at;
    double cost;
    std::size_t from;  // in the layer before
  };
  std::vector<std::vector<PathEnd>> layers{{{start, 0, 0}}};
  for (std::size_t k = 0; k < steps; ++k) {
    std::vector<PathEnd> next;
    const std::size_t wide = path[k] - lowest[k], count = k + 1 == steps ? 1 : std::min(looked_at, wide + 1);
    for (std::size_t q = 0; q < count; ++q) {
      const std::size_t at = count == 1 ? path[k] : lowest[k] + wide * q / (count - 1);
      PathEnd best{at, no_path, 0};
      for (std::size_t p = 0; p < layers.back().size(); ++p) {
        const PathEnd& s = layers.back()[p];
        if (s.at >= at || c.farthest_from(s.at) < at || s.cost >= best.cost) continue;
        const double e = c.error_px(s.at, at), cost = s.cost + e * e + (e > c.limit_px() ? broken : 0);
        if (cost < best.cost) best.cost = cost, best.from = p;
      }
      if (best.cost < no_path) next.push_back(best);
    }
    if (next.empty()) return path;
    layers.push_back(std::move(next));
  }
  std::vector<std::size_t> out(steps);
  for (std::size_t k = steps, at = 0; k > 0; at = layers[k][at].from, --k) out[k - 1] = layers[k][at].at;
  return out;
}

double candidate_gap_px(const SpacedLoop& loop, double length_px) {
  return std::max({finest_gap_px, 0.5 * loop.band_px, length_px / double(most_candidates)});
}

}  // namespace

std::optional<std::vector<DraftNode>> fewest_segments(const SpacedLoop& loop, const StretchEnd& from,
                                                      const StretchEnd& to, double length_px, double limit_px,
                                                      double coarser) {
  const auto n = std::size_t(std::max(2.0, length_px / (coarser * candidate_gap_px(loop, length_px))));
  StretchCandidates candidates(loop, limit_px, false);
  candidates.add({}, from);
  for (std::size_t k = 1; k < n; ++k)
    candidates.add(smooth_node(loop, from.arc + length_px * double(k) / double(n), Reason::added));
  candidates.add({}, to);
  candidates.find_farthest();
  const std::vector<std::size_t> path = shortest_path(candidates, 0, n);
  if (path.empty()) return {};
  std::vector<DraftNode> out;
  for (const std::size_t k : balanced(candidates, 0, path))
    if (k != n) out.push_back(candidates.node(k));
  return out;
}

std::optional<std::vector<DraftNode>> fewest_on_ring(const SpacedLoop& loop, double limit_px) {
  const double length_px = loop.curve.length_px();
  const auto n = std::size_t(std::max(4.0, length_px / candidate_gap_px(loop, length_px)));
  StretchCandidates candidates(loop, limit_px, true);
  for (std::size_t k = 0; k < n; ++k)
    candidates.add(smooth_node(loop, length_px * double(k) / double(n), Reason::added));
  candidates.find_farthest();
  std::vector<std::size_t> best;
  std::size_t best_start = 0;
  for (std::size_t s = 0; s <= candidates.farthest_from(0) && s < n; ++s) {
    const std::vector<std::size_t> path = shortest_path(candidates, s, s + n);
    if (!path.empty() && (best.empty() || path.size() < best.size())) best = path, best_start = s;
  }
  if (best.empty()) return {};
  std::vector<DraftNode> out;
  for (const std::size_t k : balanced(candidates, best_start, best)) out.push_back(candidates.node(k));
  return out;
}

}  // namespace batten
