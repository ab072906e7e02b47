#include "network/follow_faint.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/plane_cv.h"
#include "network/loose_ends.h"
#include "network/mean_along.h"

namespace batten {
namespace {

// Where the line may run: points of the curve that joins two ends in their directions, and the unit normals there.
struct Strip {
  Polyline middle, normal;
  int half_px = 0;
};

// The cubic of Hermite between two ends, about a point for each pixel.
Strip strip_between(const LooseEnd& a, const LooseEnd& b, double w) {
  const double gap_px = distance(a.at, b.at);
  const Point from = gap_px * a.out, to = -gap_px * b.out;
  const int steps = std::max(4, int(std::lround(gap_px)));
  Strip out;
  for (int i = 0; i <= steps; ++i) {
    const double t = double(i) / steps, t2 = t * t, t3 = t2 * t;
    out.middle.push_back((2 * t3 - 3 * t2 + 1) * a.at + (t3 - 2 * t2 + t) * from + (3 * t2 - 2 * t3) * b.at +
                         (t3 - t2) * to);
  }
  for (int i = 0; i <= steps; ++i) {
    const Point along = out.middle[std::min(i + 1, steps)] - out.middle[std::max(i - 1, 0)];
    out.normal.push_back((1 / std::max(norm(along), 1e-9)) * Point{-along.y, along.x});
  }
  out.half_px = int(std::lround(std::max(1.5 * w, 0.1 * gap_px)));
  return out;
}

struct Way {
  Polyline points;
  double mean = 0;     // ink along it, but for the width of a line at either end, where lines end softly
  double weakest = 0;  // mean over the stretch of four widths that is palest
};

// The darkest way through a strip, moved aside as a whole by shift_px, that begins and ends in its middle and moves
// aside by a pixel at most from point to point: dynamic programming (Viterbi). Ink counts up to `most`.
Way darkest_way(const Plane<float>& ink, const Strip& strip, double shift_px, double most, double w) {
  const int n = int(strip.middle.size()), k = 2 * strip.half_px + 1;
  const int end = std::min((n - 1) / 2, int(std::lround(w)));
  const auto at = [&](int i, int j) { return strip.middle[i] + (shift_px + j - strip.half_px) * strip.normal[i]; };
  std::vector<float> value(std::size_t(n) * k), best(value.size(), -1e30f);
  std::vector<signed char> came(value.size(), 0);
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < k; ++j) {
      const Point p = at(i, j);
      value[std::size_t(i) * k + j] = float(std::min(sample(ink, p.x, p.y), most));
    }
  best[strip.half_px] = value[strip.half_px];
  for (int i = 1; i < n; ++i)
    for (int j = 0; j < k; ++j)
      for (int step = -1; step <= 1; ++step) {
        const int from = j + step;
        if (from < 0 || from >= k) continue;
        const float sum = best[std::size_t(i - 1) * k + from] + value[std::size_t(i) * k + j];
        if (sum > best[std::size_t(i) * k + j])
          best[std::size_t(i) * k + j] = sum, came[std::size_t(i) * k + j] = (signed char)(step);
      }
  Way out;
  std::vector<double> along(n);
  for (int i = n - 1, j = strip.half_px; i >= 0; --i) {
    out.points.push_back(at(i, j));
    along[i] = value[std::size_t(i) * k + j];
    j += came[std::size_t(i) * k + j];
  }
  std::reverse(out.points.begin(), out.points.end());
  along = {along.begin() + end, along.end() - end};
  const int window = std::clamp(int(std::lround(4 * w)), 1, int(along.size()));
  double sum = 0;
  out.weakest = 1e30;
  for (int i = 0; i < int(along.size()); ++i) {
    out.mean += along[i] / double(along.size());
    sum += along[i] - (i >= window ? along[i - window] : 0);
    if (i + 1 >= window) out.weakest = std::min(out.weakest, sum / window);
  }
  return out;
}

// Nothing of what was found as line counts in the ways beside, nor its soft edge.
Plane<float> without_lines(const LineMask& mask) {
  Plane<float> out = mask.ink;
  cv::Mat1b near;
  cv::dilate(as_mat(mask.lines), near, cv::Mat1b::ones(7, 7));
  as_mat(out).setTo(0, near);
  return out;
}

std::optional<Way> faint_line(const LineMask& mask, const Plane<float>& bare, const LooseEnd& a, const LooseEnd& b) {
  const double w = mask.width_px;
  const Strip strip = strip_between(a, b, w);
  const double most = 0.5 * mask.dark;
  Way way = darkest_way(mask.ink, strip, 0, most, w);
  double chance = 0;
  for (const int side : {-2, -1, 1, 2})
    chance = std::max(chance, darkest_way(bare, strip, side * (2 * strip.half_px + 1), most, w).mean);
  // Lines in drawings were 0.1 of others where they were palest; print shows through by less.
  const double least = 0.08 * mask.dark;
  // In shading and in solid ink what is darkest is no line but grain, or the edge.
  constexpr double most_shaded = 0.25;
  if (mean_along(mask.toned, way.points) + mean_along(mask.solid, way.points) > most_shaded) return {};
  if (way.mean < std::max(least, 2 * chance) || way.weakest < std::max(0.5 * least, 1.2 * chance)) return {};
  return way;
}

// Crumbs of the faint line that were dark enough to be lines by themselves lie on its way and are part of it.
void remove_crumbs(const Polyline& way, const std::vector<LooseEnd>& ends, double w, std::vector<char>* used,
                   LineNetwork* net) {
  const auto is_on_way = [&](Point p) {
    return std::any_of(way.begin(), way.end(), [&](Point q) { return distance(p, q) < w; });
  };
  for (const int e : net->living()) {
    const NetEdge& edge = net->edges[std::size_t(e)];
    const bool alone = edge.from != edge.to && net->degree(edge.from) == 1 && net->degree(edge.to) == 1;
    if (!alone || edge.points.size() > way.size()) continue;
    if (!std::all_of(edge.points.begin(), edge.points.end(), is_on_way)) continue;
    net->remove_edge(e);
    for (std::size_t i = 0; i < ends.size(); ++i)
      if (ends[i].edge == e) (*used)[i] = 1;
  }
}

struct Pair {
  double gap_px;
  std::size_t a, b;
};

// Ends that point at one another, nearest first.
std::vector<Pair> pairs_of(const std::vector<LooseEnd>& ends, double w) {
  constexpr double nearest = 3, farthest = 40;  // widths; what is closer together is a gap, which needs no ink
  constexpr double ahead = 0.5;                 // within 60 degrees
  std::vector<Pair> pairs;
  for (std::size_t a = 0; a < ends.size(); ++a)
    for (std::size_t b = a + 1; b < ends.size(); ++b) {
      const Point gap = ends[b].at - ends[a].at;
      const double gap_px = norm(gap), least_px = std::min(ends[a].length_px, ends[b].length_px);
      if (gap_px < nearest * w || gap_px > std::min(farthest * w, least_px)) continue;
      if (ends[a].edge == ends[b].edge && ends[a].length_px < 4 * gap_px) continue;
      if (dot(ends[a].out, gap) < ahead * gap_px || -dot(ends[b].out, gap) < ahead * gap_px) continue;
      pairs.push_back({gap_px, a, b});
    }
  std::stable_sort(pairs.begin(), pairs.end(), [](const Pair& p, const Pair& q) { return p.gap_px < q.gap_px; });
  return pairs;
}

}  // namespace

int follow_faint(const LineMask& mask, LineNetwork* net) {
  const double w = mask.width_px;
  const std::vector<LooseEnd> ends = loose_ends(*net, w);
  const std::vector<Pair> pairs = pairs_of(ends, w);
  const Plane<float> bare = pairs.empty() ? Plane<float>() : without_lines(mask);
  std::vector<char> used(ends.size(), 0);
  int made = 0;
  for (const Pair& p : pairs) {
    if (used[p.a] || used[p.b]) continue;
    auto way = faint_line(mask, bare, ends[p.a], ends[p.b]);
    if (!way) continue;
    used[p.a] = used[p.b] = 1;
    way->points.front() = ends[p.a].at, way->points.back() = ends[p.b].at;
    remove_crumbs(way->points, ends, w, &used, net);
    net->add_edge(ends[p.a].node, ends[p.b].node, std::move(way->points));
    ++made;
  }
  net->join_pairs();
  return made;
}

}  // namespace batten
