#include "support/spoil.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/shapes.h"

namespace batten::support {
namespace {

Point between(Point a, Point b, double t) { return (1 - t) * a + t * b; }

// The part of a cubic from its start to t; what is left stays in *c (de Casteljau).
Cubic cut_off(Cubic* c, double t) {
  const Cubic& k = *c;
  const Point a = between(k[0], k[1], t), b = between(k[1], k[2], t), d = between(k[2], k[3], t), ab = between(a, b, t),
              bd = between(b, d, t), at = between(ab, bd, t);
  const Cubic first = {k[0], a, ab, at};
  *c = {at, bd, d, k[3]};
  return first;
}

// How far a cubic may lie from its chord at most (Wang's bound by second differences).
int straights_for(const Cubic& c, double flatness_px) {
  const auto second = [](Point a, Point b, Point d) { return std::hypot(a.x - 2 * b.x + d.x, a.y - 2 * b.y + d.y); };
  const double bend = std::max(second(c[0], c[1], c[2]), second(c[1], c[2], c[3]));
  return std::max(1, int(std::ceil(std::sqrt(0.75 * bend / flatness_px))));
}

Outline of_cubics(const std::vector<Cubic>& cubics, bool closed) {
  Outline out;
  out.closed = closed;
  for (std::size_t i = 0; i < cubics.size(); ++i) {
    const Cubic& c = cubics[i];
    if (i == 0) out.nodes.push_back({c[0], c[0], c[0]});
    out.nodes.back().handle_after = c[1];
    if (closed && i + 1 == cubics.size())
      out.nodes.front().handle_before = c[2];
    else
      out.nodes.push_back({c[2], c[3], c[3]});
  }
  return out;
}

}  // namespace

Outline cut_up(const Outline& outline, int pieces) {
  std::vector<Cubic> cubics;
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    Cubic rest = outline.segment(i);
    for (int k = pieces; k > 1; --k) cubics.push_back(cut_off(&rest, 1.0 / k));
    cubics.push_back(rest);
  }
  // A straight stays one: its handles lie in its ends.
  for (std::size_t i = 0; i < cubics.size(); ++i)
    if (outline.is_straight(i / std::size_t(pieces)))
      cubics[i] = {cubics[i][0], cubics[i][0], cubics[i][3], cubics[i][3]};
  return of_cubics(cubics, outline.closed);
}

Outline flattened(const Outline& outline, double flatness_px) {
  std::vector<Cubic> cubics;
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const Cubic c = outline.segment(i);
    const int n = outline.is_straight(i) ? 1 : straights_for(c, flatness_px);
    for (int k = 0; k < n; ++k) {
      const Point a = at(c, double(k) / n), b = at(c, double(k + 1) / n);
      cubics.push_back({a, a, b, b});
    }
  }
  return of_cubics(cubics, outline.closed);
}

Outline sampled(const Outline& outline, double spacing_px, double sigma_px, Random* random) {
  Polyline points = points_of(outline, spacing_px);
  for (Point& p : points) p = p + Point{random->normal(sigma_px), random->normal(sigma_px)};
  return polygon(points);
}

Outline shaken(const Outline& outline, double least_px, double most_px, Random* random) {
  Outline out = outline;
  for (Node& n : out.nodes) {
    const double px = random->uniform(least_px, most_px), way = random->uniform(0, 2 * std::numbers::pi);
    const Point by{px * std::cos(way), px * std::sin(way)};
    n.handle_before = n.handle_before + by, n.at = n.at + by, n.handle_after = n.handle_after + by;
  }
  return out;
}

}  // namespace batten::support
