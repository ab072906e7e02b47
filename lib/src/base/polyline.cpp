#include "base/polyline.h"

#include <numeric>

namespace batten {

PointBox box_of(const Polyline& points) {
  PointBox box;
  for (const Point p : points) box.add(p);
  return box;
}

double signed_area_px2(const Polyline& loop) {
  double sum = 0;
  for (std::size_t i = 0; i < loop.size(); ++i) sum += cross(loop[i] - loop[0], loop[(i + 1) % loop.size()] - loop[0]);
  return sum / 2;
}

bool contains(const Polyline& loop, Point p) {
  bool inside = false;
  for (std::size_t i = 0, n = loop.size(); i < n; ++i) {
    const Point a = loop[i], b = loop[(i + 1) % n];
    if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) inside = !inside;
  }
  return inside;
}

double open_length_px(const Polyline& points) {
  double out = 0;
  for (std::size_t i = 1; i < points.size(); ++i) out += distance(points[i - 1], points[i]);
  return out;
}

Polyline normals(const Polyline& loop) {
  const std::size_t n = loop.size();
  Polyline out(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Point d = loop[(i + 1) % n] - loop[(i + n - 1) % n];
    const double length = std::hypot(d.x, d.y);
    if (length > 0) out[i] = {d.y / length, -d.x / length};
  }
  return out;
}

Polyline evenly_spaced(const Polyline& loop, double step_px) {
  const std::size_t n = loop.size();
  std::vector<double> sides(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Point d = loop[(i + 1) % n] - loop[i];
    sides[i] = std::hypot(d.x, d.y);
  }
  const double length = std::accumulate(sides.begin(), sides.end(), 0.0);
  const auto count = std::max<std::size_t>(8, std::size_t(std::lround(length / step_px)));
  Polyline out;
  out.reserve(count);
  double walked = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const Point a = loop[i], d = loop[(i + 1) % n] - a;
    while (out.size() < count) {
      const double target = length * double(out.size()) / double(count);
      if (target > walked + sides[i]) break;
      out.push_back(sides[i] > 0 ? a + ((target - walked) / sides[i]) * d : a);
    }
    walked += sides[i];
  }
  out.resize(count, loop.back());  // rounding may leave the last one out
  return out;
}

}  // namespace batten
