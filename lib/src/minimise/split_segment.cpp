#include "minimise/split_segment.h"

#include <algorithm>
#include <limits>

#include "fit/smooth_node.h"
#include "minimise/fit_segment.h"

namespace batten {
namespace {

// Pairs grow with the square; a span between extremes rarely needs three cubics, a long one without them many.
constexpr int fewest_candidates = 28, most_candidates = 100;
constexpr double candidate_gap_px = 12;
constexpr int most_segments = 40;

// Ends in a row that one cubic does not reach: a farther one that it would reach was not seen after two. Without this
// rule noise, where nothing is far over the limit and nothing within it, costs the square of the candidates.
constexpr std::size_t most_over = 6;
// The same for ends that it misses by far.
constexpr std::size_t most_misses = 3;
constexpr double far_over = 3;  // limits

struct TwoSegments {
  std::size_t at = 1;  // the candidate between them
  double worst_px = std::numeric_limits<double>::infinity(), cost = worst_px;
};

// Places for nodes in a segment, from its start (index 0) to its end.
class SplitCandidates {
 public:
  SplitCandidates(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment, const std::stop_token& stop)
      : loop_(loop), stop_(stop) {
    const StretchEnd a = stretch_end(d.nodes[segment], start_angle(d, segment));
    const StretchEnd b = stretch_end(d.nodes[d.next(segment)], end_angle(d, segment));
    const double length_px = loop.curve.ahead(a.arc, b.arc), least_gap_px = std::max(3.0, 0.5 * loop.scale_px);
    const int n = std::clamp(int(length_px / least_gap_px) - 1, 1,
                             std::clamp(int(length_px / candidate_gap_px), fewest_candidates, most_candidates));
    nodes_.emplace_back(), ends_.push_back(a);
    for (int k = 1; k <= n; ++k) {
      const double arc = a.arc + length_px * k / (n + 1);
      // Where no node may be there is none, unless that leaves nothing to choose from.
      if (lies_in(loop.pins.bare, arc, loop.curve.length_px()) && !(k == n && nodes_.size() == 1)) continue;
      nodes_.push_back(smooth_node(loop, arc, Reason::added));
      ends_.push_back(stretch_end(nodes_.back(), nodes_.back().angle));
    }
    ends_.push_back(b);
    error_px_.assign(ends_.size(), std::vector<double>(ends_.size(), not_fitted));
  }

  const DraftNode& node(std::size_t i) const { return nodes_[i]; }

  // The candidates at which the cubics end.
  std::vector<std::size_t> best_path() {
    const TwoSegments two = best_two();  // by far the most common answer
    std::vector<std::size_t> path;
    if (two.worst_px > limit_px_) path = fewest();
    return path.empty() ? std::vector<std::size_t>{two.at, last()} : path;
  }

 private:
  static constexpr double not_fitted = -1;

  std::size_t last() const { return ends_.size() - 1; }
  bool stopped() const { return stop_.stop_requested(); }

  double error_px(std::size_t i, std::size_t j) {
    double& e = error_px_[i][j];
    if (e == not_fitted) e = fit_stretch(loop_, ends_[i], ends_[j], limit_px_, {.only_if_held = true}).max_px;
    return e;
  }

  void try_two(std::size_t k, TwoSegments* best) {
    const auto cost_of = [&](double e0, double e1) {
      return std::max(e0, e1) > limit_px_ ? 1e6 + std::max(e0, e1) : e0 * e0 + e1 * e1;
    };
    const double e0 = error_px(0, k);
    if (cost_of(e0, 0) >= best->cost) return;  // whatever the second segment does
    const double e1 = error_px(k, last());
    if (cost_of(e0, e1) < best->cost) *best = {k, std::max(e0, e1), cost_of(e0, e1)};
  }

  // The best place for one node. Its cost hardly has two valleys: every third candidate, then those beside the best;
  // all of them only where none has held the limit.
  TwoSegments best_two() {
    TwoSegments best;
    const bool many = last() > 6;
    for (std::size_t k = many ? 2 : 1; k < last() && !stopped(); k += many ? 3 : 1) try_two(k, &best);
    const std::size_t middle = best.at;
    for (std::size_t k = std::max<std::size_t>(3, middle) - 2; k < std::min(last(), middle + 3) && !stopped(); ++k)
      try_two(k, &best);
    for (std::size_t k = 1; k < last() && best.worst_px > limit_px_ && !stopped(); ++k) try_two(k, &best);
    return best;
  }

  // [k]: the first candidate from which the last can be reached in k segments, up to the k that begins at the first
  // candidate; what lies before it can't, since a longer stretch is never easier. Empty if there is no path.
  std::vector<std::size_t> walk_back() {
    std::vector<std::size_t> first_in{last()};
    std::vector<char> reaches(ends_.size(), 0);
    reaches.back() = 1;
    while (first_in.back() > 0 && int(first_in.size()) <= most_segments) {
      const std::size_t goal = first_in.back();
      std::size_t first = goal;
      for (std::size_t i = goal, over = 0; i-- > 0 && over < most_over && !stopped(); ++over) {
        for (std::size_t j = goal; j < std::min(goal + 2, ends_.size()) && !reaches[i]; ++j)
          reaches[i] = reaches[j] && error_px(i, j) <= limit_px_;
        if (reaches[i]) first = i, over = 0;
      }
      if (first == goal) return {};
      first_in.push_back(first);
    }
    if (first_in.back() > 0) return {};
    return first_in;
  }

  // Fewest segments from the first to the last candidate, and of those the path of the smallest sum of squared errors;
  // empty if the segment can't be held.
  std::vector<std::size_t> fewest() {
    struct Best {
      int count = std::numeric_limits<int>::max();
      double cost = 0;
      std::size_t from = 0;
    };
    std::vector<Best> best(ends_.size());
    best[0].count = 0;
    const std::vector<std::size_t> first_in = walk_back();
    const int most = first_in.empty() ? most_segments : int(first_in.size()) - 1;
    const auto first_of_use = [&](int segments_left) {
      return first_in.empty() ? 0 : first_in[std::size_t(segments_left)];
    };
    for (std::size_t i = 0; i < last(); ++i) {
      if (best[i].count >= most || i < first_of_use(most - best[i].count)) continue;
      std::size_t misses = 0, over = 0;
      std::size_t j = std::max(i + 1, first_of_use(most - best[i].count - 1));
      for (; j <= last() && misses < most_misses && over < most_over && !stopped(); ++j) {
        if (best[j].count == best[i].count + 1 && best[j].cost <= best[i].cost) continue;
        const double e = error_px(i, j);
        if (e > far_over * limit_px_) ++misses;
        over = e > limit_px_ ? over + 1 : 0;
        if (e > limit_px_) continue;
        const Best b{best[i].count + 1, best[i].cost + e * e, i};
        if (b.count < best[j].count || (b.count == best[j].count && b.cost < best[j].cost)) best[j] = b;
      }
    }
    std::vector<std::size_t> path;
    if (best[last()].count > most) return path;
    for (std::size_t k = last(); k != 0; k = best[k].from) path.push_back(k);
    std::reverse(path.begin(), path.end());
    return path;
  }

  const SpacedLoop& loop_;
  const std::stop_token& stop_;
  const double limit_px_ = loop_.limit_px;
  std::vector<DraftNode> nodes_;
  std::vector<StretchEnd> ends_;
  std::vector<std::vector<double>> error_px_;  // largest distance of one cubic from candidate i to candidate j
};

}  // namespace

int split_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, const std::stop_token& stop) {
  SplitCandidates candidates(loop, *d, segment, stop);
  const std::vector<std::size_t> path = candidates.best_path();
  for (std::size_t k = 0; k + 1 < path.size(); ++k) {
    insert_node(d, segment + k, candidates.node(path[k]));
    DraftSegment& tail = d->segments[segment + k + 1];
    tail.straight = tail.level = tail.vertical = false;
  }
  fit_segments(loop, d, Window(*d, segment, path.size()));
  return int(path.size());
}

}  // namespace batten
