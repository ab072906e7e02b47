#include "judge/match_outlines.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/cubic.h"
#include "base/polyline.h"
#include "measure/chain.h"

namespace batten {
namespace {

struct PointBounds {
  Point low{1e300, 1e300}, high{-1e300, -1e300};
  double size_px() const { return std::max(high.x - low.x, high.y - low.y); }
};

PointBounds bounds_of(const std::vector<Point>& points) {
  PointBounds b;
  for (const Point p : points) {
    b.low = {std::min(b.low.x, p.x), std::min(b.low.y, p.y)};
    b.high = {std::max(b.high.x, p.x), std::max(b.high.y, p.y)};
  }
  return b;
}

bool far_apart(const PointBounds& a, const PointBounds& b, double most_px) {
  return std::abs(a.low.x - b.low.x) > most_px || std::abs(a.low.y - b.low.y) > most_px ||
         std::abs(a.high.x - b.high.x) > most_px || std::abs(a.high.y - b.high.y) > most_px;
}

// About so many places of each are compared: enough to tell a counter from the outline round it.
constexpr std::size_t places = 160;

std::vector<Point> places_of(const Outline& outline) {
  std::vector<Point> points;
  const std::size_t each = std::max<std::size_t>(4, places / std::max<std::size_t>(1, outline.nodes.size()));
  for (std::size_t i = 0; i < outline.segment_count(); ++i)
    for (std::size_t k = 0; k < each; ++k) points.push_back(evaluate(outline.segment(i), double(k) / double(each)));
  if (outline.closed) return points;
  points.push_back(outline.nodes.back().at);
  return there_and_back(points);
}

std::vector<Point> places_of(const std::vector<Point>& polyline) {
  std::vector<Point> points;
  const std::size_t step = std::max<std::size_t>(1, polyline.size() / places);
  for (std::size_t i = 0; i < polyline.size(); i += step) points.push_back(polyline[i]);
  return points;
}

// Most blocks of edges lie farther away than what was found already: an SVG may have a hundred thousand paths.
double mean_distance(const std::vector<Point>& from, const Chain& to) {
  constexpr std::size_t block = Chain::edges_per_box;
  double sum = 0;
  for (const Point p : from) {
    double best = 1e300;
    for (std::size_t b = 0; b < to.boxes.size(); ++b) {
      if (to.boxes[b].squared_to(p) > best * best) continue;
      for (std::size_t i = b * block; i < std::min(to.size(), (b + 1) * block); ++i)
        best = std::min(best, distance(p, nearest_on_segment(p, to.points[i], to.next(i))));
    }
    sum += best;
  }
  return sum / double(from.size());
}

struct PossiblePair {
  double distance_px;
  std::size_t outline, polyline;
};

}  // namespace

std::vector<int> match_outlines(std::span<const Outline> outlines, const std::vector<std::vector<Point>>& polylines,
                                double most_px, const std::vector<char>& open) {
  const auto is_open = [&](std::size_t k) { return k < open.size() && open[k] != 0; };
  std::vector<Chain> coarse;
  std::vector<PointBounds> bounds;
  for (std::size_t k = 0; k < polylines.size(); ++k) {
    const std::vector<Point> some = places_of(polylines[k]);
    coarse.emplace_back(is_open(k) ? there_and_back(some) : some), bounds.push_back(bounds_of(polylines[k]));
  }
  std::vector<PossiblePair> pairs;
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    if (outlines[i].nodes.empty()) continue;
    const std::vector<Point> own = places_of(outlines[i]);
    const PointBounds box = bounds_of(own);
    std::optional<Chain> own_chain;  // most outlines lie on nothing and need none
    for (std::size_t k = 0; k < coarse.size(); ++k) {
      const double most = std::max(most_px, 0.05 * bounds[k].size_px());
      if (coarse[k].size() == 0 || is_open(k) == outlines[i].closed || far_apart(box, bounds[k], 4 * most)) continue;
      if (!own_chain) own_chain.emplace(own);
      const double d = std::max(mean_distance(own, coarse[k]), mean_distance(coarse[k].points, *own_chain));
      if (d < most) pairs.push_back({d, i, k});
    }
  }
  std::stable_sort(pairs.begin(), pairs.end(),
                   [](const PossiblePair& a, const PossiblePair& b) { return a.distance_px < b.distance_px; });
  std::vector<int> match(outlines.size(), -1);
  std::vector<char> taken(polylines.size(), 0);
  for (const PossiblePair& pair : pairs)
    if (match[pair.outline] < 0 && !taken[pair.polyline])
      match[pair.outline] = int(pair.polyline), taken[pair.polyline] = 1;
  return match;
}

}  // namespace batten
