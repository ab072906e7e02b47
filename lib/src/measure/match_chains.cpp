#include "measure/match_chains.h"

#include <algorithm>

namespace batten {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
// Anchors of the coarse matching: one in 8 px follows the features of a letter; more than 96 cost time (the square of
// the number) and gain nothing, because the window below spans three of them.
constexpr double anchor_spacing_px = 8;
constexpr std::size_t fewest_anchors = 48, most_anchors = 96;
// A place counts as the same stretch within three anchors (warping on a grid is uncertain by one or two), and never
// less than 12 px: a corner cut or a join moved shifts arc positions by some pixels without being wrong.
constexpr double window_anchors = 3, least_window_px = 12;

std::vector<Point> anchors_of(const Chain& chain, std::size_t count) {
  std::vector<Point> anchors(count);
  std::size_t i = 0;
  for (std::size_t k = 0; k < count; ++k) {
    const double s = chain.length_px() * double(k) / double(count);
    while (i + 1 < chain.size() && chain.at_px[i + 1] <= s) ++i;
    const double edge = chain.at_px[i + 1] - chain.at_px[i];
    anchors[k] = chain.points[i] + (edge > 0 ? (s - chain.at_px[i]) / edge : 0.0) * (chain.next(i) - chain.points[i]);
  }
  return anchors;
}

/// A monotone matching: row i (anchor of a) is matched to columns first[i]..last[i] (anchors of b, not yet modulo n).
struct WarpingPath {
  std::vector<std::size_t> first, last;
  double cost = infinity;
};

/// Cyclic dynamic time warping of two rings of n anchors.
class Warping {
 public:
  Warping(const std::vector<Point>& a, const std::vector<Point>& b)
      : n_(a.size()), cost_(n_ * n_), sum_((n_ + 1) * width()) {
    for (std::size_t i = 0; i < n_; ++i)
      for (std::size_t j = 0; j < n_; ++j) cost_[i * n_ + j] = squared_length(a[i] - b[j]);
  }

  WarpingPath best() {
    WarpingPath open;
    open.first.assign(n_ + 1, 0);
    open.last.assign(n_ + 1, 2 * n_);
    WarpingPath left = path_from(0, open, open), right = left;
    for (std::size_t i = 0; i <= n_; ++i) right.first[i] += n_, right.last[i] += n_;
    best_ = left;
    bisect(0, n_, left, right);
    return best_;
  }

 private:
  std::size_t width() const { return 2 * n_ + 1; }
  double& sum(std::size_t i, std::size_t j) { return sum_[i * width() + j]; }

  void bisect(std::size_t from, std::size_t to, const WarpingPath& left, const WarpingPath& right) {
    if (to - from < 2) return;
    const std::size_t start = (from + to) / 2;
    const WarpingPath path = path_from(start, left, right);
    if (path.cost < best_.cost) best_ = path;
    bisect(from, start, left, path);
    bisect(start, to, path, right);
  }

  /// Cheapest path from (0, start) to (n, start + n) between the two given paths.
  WarpingPath path_from(std::size_t start, const WarpingPath& left, const WarpingPath& right) {
    const auto lowest = [&](std::size_t i) { return std::max(start, left.first[i]); };
    const auto highest = [&](std::size_t i) { return std::min(start + n_, right.last[i]); };
    const auto at = [&](std::size_t i, std::size_t j) {
      return j >= lowest(i) && j <= highest(i) ? sum(i, j) : infinity;
    };
    for (std::size_t i = 0; i <= n_; ++i) {
      const double* cost = &cost_[(i % n_) * n_];
      const std::size_t low = lowest(i), high = highest(i);
      for (std::size_t j = low; j <= high; ++j) {
        double before = j > low ? sum(i, j - 1) : infinity;
        if (i > 0) before = std::min({before, at(i - 1, j), j > 0 ? at(i - 1, j - 1) : infinity});
        if (i == 0 && j == start) before = 0;
        sum(i, j) = before + cost[j < n_ ? j : j < 2 * n_ ? j - n_ : 0];
      }
    }
    WarpingPath path;
    path.first.assign(n_ + 1, 0);
    path.last.assign(n_ + 1, 0);
    path.cost = sum(n_, start + n_);
    for (std::size_t i = n_, j = start + n_;;) {
      if (path.last[i] == 0) path.last[i] = j;
      path.first[i] = j;
      if (i == 0 && j == start) break;
      const double straight = i > 0 && j > start ? at(i - 1, j - 1) : infinity;
      const double up = i > 0 ? at(i - 1, j) : infinity, back = j > start ? at(i, j - 1) : infinity;
      if (straight <= up && straight <= back && i > 0 && j > start)
        --i, --j;
      else if (i > 0 && (up <= back || j == start))
        --i;
      else
        --j;
    }
    return path;
  }

  std::size_t n_;
  std::vector<double> cost_, sum_;
  WarpingPath best_;
};

// Ranges of anchors, widened to windows in px.
ChainWindows widen(ChainWindows anchors, double spacing_px) {
  const double window = std::max(least_window_px, window_anchors * spacing_px);
  for (auto& [from, to] : anchors) from = from * spacing_px - window, to = to * spacing_px + window;
  return anchors;
}

}  // namespace

ChainMatching match_chains(const Chain& outline, const Chain& located) {
  const double longer = std::max(outline.length_px(), located.length_px());
  const std::size_t n = std::clamp(std::size_t(longer / anchor_spacing_px), fewest_anchors, most_anchors);
  const WarpingPath path = Warping(anchors_of(outline, n), anchors_of(located, n)).best();
  std::vector<std::pair<double, double>> rows(n), columns(n, {infinity, -infinity});
  for (std::size_t i = 0; i < n; ++i) rows[i] = {double(path.first[i]), double(path.last[i + 1])};
  for (std::size_t i = 0; i <= n; ++i)
    for (std::size_t j = path.first[i]; j <= path.last[i]; ++j)
      for (const std::size_t ahead : {j + n - 1, j + n}) {  // the intervals before and after anchor j, one lap ahead
        auto& [from, to] = columns[ahead % n];
        const double row = double(i) - (double(ahead / n) - 1) * double(n);
        from = std::min(from, row), to = std::max(to, row);
      }
  return {widen(rows, located.length_px() / double(n)), widen(columns, outline.length_px() / double(n))};
}

}  // namespace batten
