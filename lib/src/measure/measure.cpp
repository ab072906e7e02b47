// The independent judge of a fit. Standard headers only; shares no code with the stages that make curves.
//
// 1. Sample the outline and the polyline densely; both become closed chains with arc positions.
// 2. Match them coarsely: a few anchors on each, cyclic dynamic time warping (every start tried, by the bisection of
//    Maes, "On a cyclic string-to-string correction problem", Inf. Proc. Letters 35, 1990: paths of neighbouring starts
//    do not cross). Warping is monotone, so a spur can only be matched to the place where it leaves the wall.
// 3. For each sample the distance to the nearest edge of the other chain within a window about its matched stretch.
#include "batten/measure.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

namespace batten {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
// Edges per bounding box in the search, and boxes per larger box: small enough that a box is tight, large enough that
// few boxes are asked (measured: 8 and 8 take half the time of 16 and none).
constexpr std::size_t block = 8, big_block = 8 * block;
// Anchors of the coarse matching: one in 8 px follows the features of a letter; more than 96 cost time (the square of
// the number) and gain nothing, because the window below spans three of them.
constexpr double anchor_spacing_px = 8;
constexpr std::size_t fewest_anchors = 48, most_anchors = 96;
// A place counts as the same stretch within three anchors (warping on a grid is uncertain by one or two), and never
// less than 12 px: a corner cut or a join moved shifts arc positions by some pixels without being wrong.
constexpr double window_anchors = 3, least_window_px = 12;
// A runaway curve must not take the memory of the machine: beyond this the step grows.
constexpr double most_samples = 2e6;

double squared(Point a) { return a.x * a.x + a.y * a.y; }
double length(Point a) { return std::sqrt(squared(a)); }
bool finite(Point a) { return std::isfinite(a.x) && std::isfinite(a.y); }

double squared_to_edge(Point p, Point a, Point b) {
  const Point d = b - a, v = p - a;
  const double dd = squared(d), dot = d.x * v.x + d.y * v.y;
  if (dot <= 0 || dd <= 0) return squared(v);  // of most edges an end is nearest: no need to divide
  if (dot >= dd) return squared(v - d);
  return squared(v - (dot / dd) * d);
}

struct Box {
  double left = infinity, top = infinity, right = -infinity, bottom = -infinity;
  void add(Point p) {
    left = std::min(left, p.x), right = std::max(right, p.x), top = std::min(top, p.y), bottom = std::max(bottom, p.y);
  }
  double squared_to(Point p) const {
    const double dx = std::max({left - p.x, 0.0, p.x - right}), dy = std::max({top - p.y, 0.0, p.y - bottom});
    return dx * dx + dy * dy;
  }
};

/// A closed chain of points: edge i runs from point i to point i + 1, the last edge back to point 0.
struct Chain {
  std::vector<Point> points;
  std::vector<double> at_px;   ///< arc position of each point; one more entry: the whole length
  std::vector<Box> boxes;      ///< of edges block * k .. block * k + block - 1
  std::vector<Box> big_boxes;  ///< of edges big_block * k .. big_block * k + big_block - 1

  std::size_t size() const { return points.size(); }
  double length_px() const { return at_px.back(); }
  Point next(std::size_t i) const { return points[i + 1 == points.size() ? 0 : i + 1]; }
};

Chain make_chain(std::vector<Point> points) {
  Chain chain;
  chain.points = std::move(points);
  const std::size_t n = chain.size();
  chain.at_px.assign(n + 1, 0);
  chain.boxes.resize((n + block - 1) / block);
  chain.big_boxes.resize((n + big_block - 1) / big_block);
  for (std::size_t i = 0; i < n; ++i) {
    chain.at_px[i + 1] = chain.at_px[i] + length(chain.next(i) - chain.points[i]);
    for (Box* box : {&chain.boxes[i / block], &chain.big_boxes[i / big_block]})
      box->add(chain.points[i]), box->add(chain.next(i));
  }
  return chain;
}

/// Number of equal steps of the parameter that keep neighbours within step_px: |B'| <= 3 max |P[i+1] - P[i]|.
double steps_of(const Cubic& c, bool straight, double step_px) {
  if (straight) return std::ceil(length(c[3] - c[0]) / step_px);
  return std::ceil(3 * std::max({length(c[1] - c[0]), length(c[2] - c[1]), length(c[3] - c[2])}) / step_px);
}

std::vector<Point> sample(const Outline& outline, double step_px) {
  const std::size_t segments = outline.nodes.size();
  double total = 0;
  for (std::size_t i = 0; i < segments; ++i) total += steps_of(outline.segment(i), outline.is_straight(i), step_px);
  if (total > most_samples) step_px *= total / most_samples;
  std::vector<Point> points;
  for (std::size_t i = 0; i < segments; ++i) {
    const Cubic c = outline.segment(i);
    const bool straight = outline.is_straight(i);
    const double steps = std::max(1.0, steps_of(c, straight, step_px));
    for (double k = 0; k < steps; ++k) {
      const double t = k / steps, s = 1 - t;
      if (straight)
        points.push_back(s * c[0] + t * c[3]);
      else
        points.push_back(s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3]);
    }
  }
  return points;
}

/// The polyline itself, its edges cut so that samples are at most step_px apart.
std::vector<Point> sample(std::span<const Point> polyline, double step_px) {
  double total = 0;
  const std::size_t n = polyline.size();
  for (std::size_t i = 0; i < n; ++i) total += std::ceil(length(polyline[(i + 1) % n] - polyline[i]) / step_px);
  if (total > most_samples) step_px *= total / most_samples;
  std::vector<Point> points;
  for (std::size_t i = 0; i < n; ++i) {
    const Point a = polyline[i], b = polyline[(i + 1) % n];
    const double steps = std::max(1.0, std::ceil(length(b - a) / step_px));
    for (double k = 0; k < steps; ++k) points.push_back(a + (k / steps) * (b - a));
  }
  return points;
}

double signed_area(const std::vector<Point>& p) {
  double twice = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Point a = p[i], b = p[(i + 1) % p.size()];
    twice += a.x * b.y - a.y * b.x;
  }
  return twice / 2;
}

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
struct Path {
  std::vector<std::size_t> first, last;
  double cost = infinity;
};

/// Cyclic dynamic time warping of two rings of n anchors.
class Warping {
 public:
  Warping(const std::vector<Point>& a, const std::vector<Point>& b)
      : n_(a.size()), cost_(n_ * n_), sum_((n_ + 1) * width()) {
    for (std::size_t i = 0; i < n_; ++i)
      for (std::size_t j = 0; j < n_; ++j) cost_[i * n_ + j] = squared(a[i] - b[j]);
  }

  Path best() {
    Path open;
    open.first.assign(n_ + 1, 0);
    open.last.assign(n_ + 1, 2 * n_);
    Path left = path_from(0, open, open), right = left;
    for (std::size_t i = 0; i <= n_; ++i) right.first[i] += n_, right.last[i] += n_;
    best_ = left;
    bisect(0, n_, left, right);
    return best_;
  }

 private:
  std::size_t width() const { return 2 * n_ + 1; }
  double& sum(std::size_t i, std::size_t j) { return sum_[i * width() + j]; }

  void bisect(std::size_t from, std::size_t to, const Path& left, const Path& right) {
    if (to - from < 2) return;
    const std::size_t start = (from + to) / 2;
    const Path path = path_from(start, left, right);
    if (path.cost < best_.cost) best_ = path;
    bisect(from, start, left, path);
    bisect(start, to, path, right);
  }

  /// Cheapest path from (0, start) to (n, start + n) between the two given paths.
  Path path_from(std::size_t start, const Path& left, const Path& right) {
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
    Path path;
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
  Path best_;
};

/// For each interval between neighbouring anchors of one chain: arc positions of the other that it may be judged
/// against.
struct Windows {
  std::vector<std::pair<double, double>> of_interval;  ///< px; may run below 0 or beyond the length (wraps round)
};

Windows widen(const std::vector<std::pair<double, double>>& anchors, double spacing_px) {
  const double window = std::max(least_window_px, window_anchors * spacing_px);
  Windows windows;
  for (const auto& [from, to] : anchors)
    windows.of_interval.emplace_back(from * spacing_px - window, to * spacing_px + window);
  return windows;
}

struct Sampled : DistanceSample {
  std::size_t edge;  ///< of the other chain, where the nearest place is
};

/// Distance of every point of `from` to the edges of `to` within its window.
void distances(const Chain& from, const Chain& to, const Windows& windows, std::vector<Sampled>& out,
               Deviation& worst) {
  const std::size_t n = from.size(), m = to.size(), intervals = windows.of_interval.size();
  const double whole = to.length_px();
  const auto edge_at = [&](double s) {  // the edge on which the arc position lies
    return std::size_t(std::upper_bound(to.at_px.begin() + 1, to.at_px.begin() + std::ptrdiff_t(m), s) -
                       to.at_px.begin()) -
           1;
  };
  std::size_t seed = 0, interval = intervals, first = 0, count = m;
  for (std::size_t i = 0; i < n; ++i) {
    const double part = from.length_px() > 0 ? from.at_px[i] / from.length_px() : 0;
    const std::size_t k = std::min(intervals - 1, std::size_t(part * double(intervals)));
    if (k != interval) {
      interval = k;
      const auto [s0, s1] = windows.of_interval[k];
      first = 0, count = m;
      if (s1 - s0 < whole) {
        first = edge_at(s0 - whole * std::floor(s0 / whole));
        const std::size_t last = edge_at(s1 - whole * std::floor(s1 / whole));
        count = (last + m - first) % m + 1;
      }
    }
    const Point p = from.points[i];
    const auto inside = [&](std::size_t e) { return (e + m - first) % m < count; };
    if (!inside(seed)) seed = first;
    double best = squared_to_edge(p, to.points[seed], to.next(seed));
    for (std::size_t done = 0; done < count;) {
      const std::size_t e0 = (first + done) % m, stop = std::min(m, e0 + (count - done));
      if (to.big_boxes[e0 / big_block].squared_to(p) >= best) {
        done += std::min(stop, (e0 / big_block + 1) * big_block) - e0;
        continue;
      }
      const std::size_t e1 = std::min(stop, (e0 / block + 1) * block);
      if (to.boxes[e0 / block].squared_to(p) < best)
        for (std::size_t e = e0; e < e1; ++e)
          if (const double d = squared_to_edge(p, to.points[e], to.next(e)); d < best) best = d, seed = e;
      done += e1 - e0;
    }
    const double d = std::sqrt(best);
    const double before = from.at_px[i == 0 ? n : i] - from.at_px[i == 0 ? n - 1 : i - 1];
    out.push_back({{d, (before + from.at_px[i + 1] - from.at_px[i]) / 2}, seed});
    if (d > worst.max_px) worst.max_px = d, worst.worst = p;
  }
}

/// The distance that 95 % of the length stays below; halves the range by weight until one sample is left.
template <class Sample>
double percentile95(std::vector<Sample>& samples) {
  double total = 0;
  for (const Sample& s : samples) total += s.weight_px;
  double above = 0.05 * total;  // weight that may lie above
  auto first = samples.begin(), last = samples.end();
  while (last - first > 1) {
    auto middle = first + (last - first) / 2;
    std::nth_element(first, middle, last,
                     [](const Sample& a, const Sample& b) { return a.distance_px < b.distance_px; });
    double upper = 0;
    for (auto s = middle; s != last; ++s) upper += s->weight_px;
    if (upper > above)
      first = middle;
    else
      above -= upper, last = middle;
  }
  return first->distance_px;
}

struct Matching {
  Windows on_located;  ///< for the intervals of the outline
  Windows on_outline;  ///< for the intervals of the polyline
};

Matching match(const Chain& outline, const Chain& located) {
  const double longer = std::max(outline.length_px(), located.length_px());
  const std::size_t n = std::clamp(std::size_t(longer / anchor_spacing_px), fewest_anchors, most_anchors);
  const Path path = Warping(anchors_of(outline, n), anchors_of(located, n)).best();
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

/// `located` is the polyline itself, `cut` the same with samples put on its edges.
Deviation compare(const Chain& outline, const Chain& located, const Chain& cut, std::vector<DistanceSample>& all) {
  const Matching windows = match(outline, located);
  Deviation result;
  std::vector<Sampled> samples;
  samples.reserve(outline.size() + cut.size());
  result.worst = outline.points[0];
  distances(outline, located, windows.on_located, samples, result);
  distances(cut, outline, windows.on_outline, samples, result);
  double sum = 0, total = 0;
  for (const Sampled& s : samples) sum += s.weight_px * s.distance_px * s.distance_px, total += s.weight_px;
  result.rms_px = total > 0 ? std::sqrt(sum / total) : result.max_px;
  all.assign(samples.begin(), samples.end());
  result.p95_px = percentile95(samples);
  return result;
}

bool usable(const Outline& outline, std::span<const Point> polyline) {
  if (outline.nodes.empty() || polyline.empty()) return false;
  return std::all_of(polyline.begin(), polyline.end(), finite) &&
         std::all_of(outline.nodes.begin(), outline.nodes.end(),
                     [](const Node& n) { return finite(n.at) && finite(n.handle_before) && finite(n.handle_after); });
}

// Below 2 % of a circle's area for its length (a figure of eight, a sliver) the sign says nothing.
bool sign_says_nothing(double area_px2, double length_px) {
  return std::abs(area_px2) < 0.02 * length_px * length_px / 12.57;
}

}  // namespace

double percentile95_px(std::vector<DistanceSample> samples) {
  return samples.empty() ? infinity : percentile95(samples);
}

Deviation measure(const Outline& outline, std::span<const Point> polyline, double step_px,
                  std::vector<DistanceSample>* samples) {
  Deviation unknown;
  unknown.max_px = unknown.rms_px = unknown.p95_px = infinity;
  if (!usable(outline, polyline) || !(step_px > 0)) return unknown;
  const Chain drawn = make_chain(sample(outline, step_px));
  std::vector<Point> points(polyline.begin(), polyline.end());
  // Along one edge of the polyline the distance hardly changes: half as many samples as on the outline will do.
  std::vector<DistanceSample> one_way, other_way;
  const auto against = [&](std::vector<DistanceSample>& all) {
    return compare(drawn, make_chain(points), make_chain(sample(points, 2 * step_px)), all);
  };
  const auto keep = [&](const std::vector<DistanceSample>& all) {
    if (samples) samples->insert(samples->end(), all.begin(), all.end());
  };
  const double area_a = signed_area(drawn.points), area_b = signed_area(points);
  const bool unclear =
      sign_says_nothing(area_a, drawn.length_px()) || sign_says_nothing(area_b, make_chain(points).length_px());
  const bool same_way = !unclear && (area_a > 0) == (area_b > 0);
  const Deviation forward = unclear || same_way ? against(one_way) : unknown;
  if (same_way) return keep(one_way), forward;
  std::reverse(points.begin(), points.end());
  const Deviation backward = against(other_way);
  const bool is_forward = forward.max_px <= backward.max_px;
  keep(is_forward ? one_way : other_way);
  return is_forward ? forward : backward;
}

std::vector<std::vector<double>> deviation_along(const Outline& outline, std::span<const Point> polyline,
                                                 double spacing_px) {
  std::vector<std::vector<double>> of_segment;
  if (!usable(outline, polyline) || !(spacing_px > 0)) return of_segment;
  std::vector<Point> points;
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const Cubic c = outline.segment(i);
    const double steps = std::clamp(steps_of(c, outline.is_straight(i), spacing_px), 1.0, 1e4);
    for (double k = 0; k < steps; ++k) {
      const double t = k / steps, s = 1 - t;
      points.push_back(outline.is_straight(i)
                           ? s * c[0] + t * c[3]
                           : s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3]);
    }
    of_segment.emplace_back(std::size_t(steps));
  }
  std::vector<Point> other(polyline.begin(), polyline.end());
  if ((signed_area(points) > 0) != (signed_area(other) > 0)) std::reverse(other.begin(), other.end());
  const Chain drawn = make_chain(points), located = make_chain(other);
  std::vector<Sampled> samples;
  Deviation ignored;
  distances(drawn, located, match(drawn, located).on_located, samples, ignored);
  std::size_t i = 0;
  for (std::vector<double>& segment : of_segment)
    for (double& signed_px : segment) {
      const Point before = points[i == 0 ? points.size() - 1 : i - 1], travel = drawn.next(i) - before;
      const Point a = located.points[samples[i].edge], along = located.next(samples[i].edge) - a, v = points[i] - a;
      const double t = squared(along) > 0 ? std::clamp((along.x * v.x + along.y * v.y) / squared(along), 0.0, 1.0) : 0;
      const Point away = a + t * along - points[i];
      // Left of the direction of travel (y down): the cross product is negative there.
      signed_px = travel.x * away.y - travel.y * away.x > 0 ? -samples[i].distance_px : samples[i].distance_px;
      ++i;
    }
  return of_segment;
}

}  // namespace batten
