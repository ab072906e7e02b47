// Crossings and area of outlines. Standard headers only; shares no code with the stages that make curves.
#include "measure/measure_crossings.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "batten/measure.h"
#include "measure/chain.h"

namespace batten {
namespace {

double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
double length(Point a) { return std::sqrt(squared_length(a)); }

using Ring = std::vector<Point>;

Ring without_repeats(Ring ring) {
  ring.erase(std::unique(ring.begin(), ring.end()), ring.end());
  while (ring.size() > 1 && ring.back() == ring.front()) ring.pop_back();
  return ring;
}

/// A closed ring without repeated neighbours; of an open line there and back, which is a touch and no crossing.
/// Parameter steps by Wang's bound: a cubic cut into
/// sqrt(0.75 * M / flatness) equal steps, M the largest second difference of its control points, stays within flatness
/// of the chords (G. Wang, "The subdivision method for finding the intersection between two Bezier curves or surfaces",
/// Zhejiang University Journal, 1984).
Ring flatten(const Outline& outline, double flatness_px) {
  Ring ring;
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const Cubic c = outline.segment(i);
    const double bend = std::max(length(c[0] - 2 * c[1] + c[2]), length(c[1] - 2 * c[2] + c[3]));
    // 10 000 steps: a runaway curve must not take the memory of the machine.
    double steps = std::clamp(std::ceil(std::sqrt(0.75 * bend / flatness_px)), 1.0, 1e4);
    if (outline.is_straight(i) || !std::isfinite(steps)) steps = 1;
    append_segment(outline, i, steps, &ring);
  }
  if (!outline.closed && !outline.nodes.empty()) ring.push_back(outline.nodes.back().at), ring = there_and_back(ring);
  return without_repeats(std::move(ring));
}

struct RingEdge {
  double left, right, top, bottom;
  std::size_t ring, at;
};

/// Is direction d strictly inside the angle swept from `from` to `to`, turning the positive way?
bool between(Point d, Point from, Point to) {
  if (cross(from, to) > 0) return cross(from, d) > 0 && cross(d, to) > 0;
  return cross(from, d) > 0 || cross(d, to) > 0;
}

/// Two paths through one place, a0 -> place -> a1 and b0 -> place -> b1: does b change sides of a?
bool change_sides(Point a0, Point a1, Point b0, Point b1) {
  for (const Point b : {b0, b1})
    for (const Point a : {a0, a1})
      if (cross(a, b) == 0 && a.x * b.x + a.y * b.y > 0) return false;  // they run along each other: a touch
  return between(b0, a0, a1) != between(b1, a0, a1);
}

bool cross_at_place(const Ring& a, std::size_t i, const Ring& b, std::size_t j) {
  const auto at = [](const Ring& r, std::size_t k) { return r[k % r.size()]; };
  const Point place = at(a, i + 1), b0 = at(b, j), b1 = at(b, j + 1);
  if (place == b0) return false;  // met again as the end of the edge before
  const Point a0 = at(a, i), a2 = at(a, i + 2);
  if (place == b1) return change_sides(a0 - place, a2 - place, b0 - place, at(b, j + 2) - place);
  const bool on_edge = cross(b1 - b0, place - b0) == 0 && place.x >= std::min(b0.x, b1.x) &&
                       place.x <= std::max(b0.x, b1.x) && place.y >= std::min(b0.y, b1.y) &&
                       place.y <= std::max(b0.y, b1.y);
  return on_edge && change_sides(b0 - place, b1 - place, a0 - place, a2 - place);
}

bool edges_cross(const Ring& a, std::size_t i, const Ring& b, std::size_t j, bool same) {
  const std::size_t n = a.size();
  if (same && (i == j || (i + 1) % n == j || (j + 1) % n == i)) return false;
  const Point a0 = a[i], a1 = a[(i + 1) % n], b0 = b[j], b1 = b[(j + 1) % b.size()];
  const double o0 = cross(a1 - a0, b0 - a0), o1 = cross(a1 - a0, b1 - a0);
  const double p0 = cross(b1 - b0, a0 - b0), p1 = cross(b1 - b0, a1 - b0);
  if (((o0 < 0 && o1 > 0) || (o0 > 0 && o1 < 0)) && ((p0 < 0 && p1 > 0) || (p0 > 0 && p1 < 0))) return true;
  // A crossing exactly at the end of an edge: only the end of each edge is asked, so that each place is met once.
  return (p1 == 0 && cross_at_place(a, i, b, j)) || (o1 == 0 && cross_at_place(b, j, a, i));
}

/// Where two edges that cross do so.
Point meeting(const Ring& a, std::size_t i, const Ring& b, std::size_t j) {
  const Point a0 = a[i], a1 = a[(i + 1) % a.size()], b0 = b[j], along = b[(j + 1) % b.size()] - b0;
  const double from = cross(along, a0 - b0), to = cross(along, a1 - b0);
  return from == to ? a1 : a0 + from / (from - to) * (a1 - a0);
}

std::vector<RingEdge> edges_of(const Ring& a, const Ring* other) {
  std::vector<RingEdge> edges;
  const Ring* rings[2] = {&a, other ? other : &a};
  for (std::size_t r = 0; r < (other ? 2u : 1u); ++r)
    for (std::size_t i = 0; i < rings[r]->size(); ++i) {
      const Point p = (*rings[r])[i], q = (*rings[r])[(i + 1) % rings[r]->size()];
      edges.push_back({std::min(p.x, q.x), std::max(p.x, q.x), std::min(p.y, q.y), std::max(p.y, q.y), r, i});
    }
  std::sort(edges.begin(), edges.end(), [](const RingEdge& x, const RingEdge& y) { return x.left < y.left; });
  return edges;
}

/// In each of level strips, as many as the root of the edges, an edge is compared with those that begin, from left to
/// right, before it ends: the edges of a long upright line are not all compared with one another.
std::optional<Point> any_crossing(const Ring& a, const Ring* other) {
  const std::vector<RingEdge> edges = edges_of(a, other);
  double top = std::numeric_limits<double>::infinity(), bottom = -top;
  for (const RingEdge& e : edges) top = std::min(top, e.top), bottom = std::max(bottom, e.bottom);
  const std::size_t strips = std::max<std::size_t>(1, std::size_t(std::sqrt(double(edges.size()))));
  const double per_px = double(strips) / (bottom - top);
  const auto strip_of = [&](double y) {
    const double at = (y - top) * per_px;  // NaN where all edges are level
    return at > 0 ? std::min(std::size_t(at), strips - 1) : 0;
  };
  std::vector<std::vector<std::size_t>> in_strip(strips);
  for (std::size_t k = 0; k < edges.size(); ++k)
    for (std::size_t s = strip_of(edges[k].top); s <= strip_of(edges[k].bottom); ++s) in_strip[s].push_back(k);
  const Ring* rings[2] = {&a, other ? other : &a};
  for (const std::vector<std::size_t>& strip : in_strip)
    for (std::size_t k = 0; k < strip.size(); ++k)
      for (std::size_t m = k + 1; m < strip.size() && edges[strip[m]].left <= edges[strip[k]].right; ++m) {
        const RingEdge &x = edges[strip[k]], &y = edges[strip[m]];
        if (x.top > y.bottom || y.top > x.bottom || (other && x.ring == y.ring)) continue;
        if (edges_cross(*rings[x.ring], x.at, *rings[y.ring], y.at, x.ring == y.ring))
          return meeting(*rings[x.ring], x.at, *rings[y.ring], y.at);
      }
  return std::nullopt;
}

}  // namespace

std::optional<Point> crossing_of(const Outline& outline, double flatness_px) {
  const Ring ring = flatten(outline, flatness_px);
  return ring.size() > 3 ? any_crossing(ring, nullptr) : std::nullopt;
}

bool crosses_itself(const Outline& outline, double flatness_px) {
  return crossing_of(outline, flatness_px).has_value();
}

bool polygon_crosses_itself(std::vector<Point> polygon) {
  const Ring ring = without_repeats(std::move(polygon));
  return ring.size() > 3 && any_crossing(ring, nullptr).has_value();
}

bool cross_each_other(const Outline& a, const Outline& b, double flatness_px) {
  const Ring first = flatten(a, flatness_px), second = flatten(b, flatness_px);
  return first.size() > 1 && second.size() > 1 && any_crossing(first, &second).has_value();
}

double signed_area_px2(const Outline& outline) {
  // Green: half the integral of x dy - y dx over each cubic, written out in cross products of its control points.
  if (!outline.closed) return 0;
  double area = 0;
  for (std::size_t i = 0; i < outline.nodes.size(); ++i) {
    const Cubic c = outline.segment(i);
    // Relative to the segment's start, so that no digits are lost far from the origin; the rest is a polygon's area.
    const Point a = c[1] - c[0], b = c[2] - c[0], d = c[3] - c[0];
    const Point from = c[0] - outline.nodes[0].at, to = c[3] - outline.nodes[0].at;
    area += (3 * cross(a, b) + 3 * cross(a, d) + 6 * cross(b, d)) / 20 + cross(from, to) / 2;
  }
  return area;
}

}  // namespace batten
