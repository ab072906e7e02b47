#include "measure/chain.h"

#include <algorithm>

namespace batten {
namespace {

// Edges per bounding box in the search, and edges per larger box: small enough that a box is tight, large enough that
// few boxes are asked (measured: 8 and 8 boxes take half the time of 16 and none). The largest are for chains far
// longer than any outline of a letter.
constexpr std::size_t block = Chain::edges_per_box, big_block = 8 * block, huge_block = 8 * big_block;
// A runaway curve must not take the memory of the machine: beyond this the step grows. At four samples a px no letter
// or frame of an A4 page at 600 dpi comes near it.
constexpr double most_samples = 2e5;

double length(Point a) { return std::sqrt(squared_length(a)); }

double squared_to_edge(Point p, Point a, Point b) {
  const Point d = b - a, v = p - a;
  const double dd = squared_length(d), dot = d.x * v.x + d.y * v.y;
  if (dot <= 0 || dd <= 0) return squared_length(v);  // of most edges an end is nearest: no need to divide
  if (dot >= dd) return squared_length(v - d);
  return squared_length(v - (dot / dd) * d);
}

}  // namespace

void EdgeBox::add(Point p) {
  left = std::min(left, p.x), right = std::max(right, p.x), top = std::min(top, p.y), bottom = std::max(bottom, p.y);
}

double EdgeBox::squared_to(Point p) const {
  const double dx = std::max({left - p.x, 0.0, p.x - right}), dy = std::max({top - p.y, 0.0, p.y - bottom});
  return dx * dx + dy * dy;
}

Chain::Chain(std::vector<Point> closed) : points(std::move(closed)) {
  at_px.assign(size() + 1, 0);
  boxes.resize((size() + block - 1) / block);
  big_boxes.resize((size() + big_block - 1) / big_block);
  huge_boxes.resize((size() + huge_block - 1) / huge_block);
  for (std::size_t i = 0; i < size(); ++i) {
    at_px[i + 1] = at_px[i] + length(next(i) - points[i]);
    for (EdgeBox* box : {&boxes[i / block], &big_boxes[i / big_block], &huge_boxes[i / huge_block]}) {
      box->add(points[i]);
      box->add(next(i));
    }
  }
}

double steps_of(const Outline& outline, std::size_t segment, double step_px) {
  const Cubic c = outline.segment(segment);
  if (outline.is_straight(segment)) return std::max(1.0, std::ceil(length(c[3] - c[0]) / step_px));
  // |B'| <= 3 max |P[i+1] - P[i]|
  const double fastest = 3 * std::max({length(c[1] - c[0]), length(c[2] - c[1]), length(c[3] - c[2])});
  return std::max(1.0, std::ceil(fastest / step_px));
}

void append_segment(const Outline& outline, std::size_t segment, double steps, std::vector<Point>* points) {
  const Cubic c = outline.segment(segment);
  const bool straight = outline.is_straight(segment);
  for (double k = 0; k < steps; ++k) {
    const double t = k / steps, s = 1 - t;
    points->push_back(straight ? s * c[0] + t * c[3]
                               : s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3]);
  }
}

double signed_area(std::span<const Point> p) {
  double twice = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Point a = p[i], b = p[(i + 1) % p.size()];
    twice += a.x * b.y - a.y * b.x;
  }
  return twice / 2;
}

std::vector<Point> there_and_back(std::span<const Point> line) {
  std::vector<Point> points(line.begin(), line.end());
  for (std::size_t i = line.size(); i-- > 2;) points.push_back(line[i - 1]);
  return points;
}

std::vector<Point> sample(const Outline& outline, double step_px) {
  const std::size_t segments = outline.segment_count();
  double total = 0;
  for (std::size_t i = 0; i < segments; ++i) total += steps_of(outline, i, step_px);
  if (total > most_samples) step_px *= total / most_samples;
  std::vector<Point> points;
  for (std::size_t i = 0; i < segments; ++i) append_segment(outline, i, steps_of(outline, i, step_px), &points);
  if (!outline.closed) points.push_back(outline.nodes.back().at), points = there_and_back(points);
  return points;
}

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

void add_distances(const Chain& from, const Chain& to, const ChainWindows& windows, std::vector<EdgeDistance>* out,
                   Deviation* worst) {
  const std::size_t n = from.size(), m = to.size(), intervals = windows.size();
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
      const auto [s0, s1] = windows[k];
      first = 0, count = m;
      if (s1 - s0 < whole) {
        first = edge_at(s0 - whole * std::floor(s0 / whole));
        const std::size_t last = edge_at(s1 - whole * std::floor(s1 / whole));
        count = (last + m - first) % m + 1;
        if (last == first && s1 - s0 > 0.5 * whole) count = m;  // nearly all round: the window ends where it begins
      }
    }
    const Point p = from.points[i];
    const auto inside = [&](std::size_t e) { return (e + m - first) % m < count; };
    if (!inside(seed)) seed = first;
    double best = squared_to_edge(p, to.points[seed], to.next(seed));
    for (std::size_t done = 0; done < count;) {
      const std::size_t e0 = (first + done) % m, stop = std::min(m, e0 + (count - done));
      if (e0 % huge_block == 0 && to.huge_boxes[e0 / huge_block].squared_to(p) >= best) {
        done += std::min(stop, e0 + huge_block) - e0;
        continue;
      }
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
    out->push_back({{d, (before + from.at_px[i + 1] - from.at_px[i]) / 2}, seed});
    if (d > worst->max_px) worst->max_px = d, worst->worst = p;
  }
}

}  // namespace batten
