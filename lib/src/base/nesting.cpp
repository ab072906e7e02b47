#include "base/nesting.h"

#include <algorithm>

#include "base/vec.h"

namespace batten {
namespace {

struct Bounds {
  Point lo{1e300, 1e300}, hi{-1e300, -1e300};
  bool holds(const Bounds& b) const { return lo.x <= b.lo.x && lo.y <= b.lo.y && hi.x >= b.hi.x && hi.y >= b.hi.y; }
};

Bounds box_of(const std::vector<Point>& p) {
  Bounds b;
  for (Point q : p) {
    b.lo = {std::min(b.lo.x, q.x), std::min(b.lo.y, q.y)};
    b.hi = {std::max(b.hi.x, q.x), std::max(b.hi.y, q.y)};
  }
  return b;
}

bool inside(Point p, const std::vector<Point>& polygon) {
  bool in = false;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const Point a = polygon[i], b = polygon[j];
    if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) in = !in;
  }
  return in;
}

}  // namespace

double polygon_area_px2(const std::vector<Point>& p) {
  double sum = 0;
  for (std::size_t i = 0; i < p.size(); ++i) sum += cross(p[i] - p[0], p[(i + 1) % p.size()] - p[0]);
  return 0.5 * sum;
}

std::vector<int> nesting(const std::vector<std::vector<Point>>& polygons) {
  std::vector<Bounds> boxes;
  std::vector<double> areas;
  for (const auto& p : polygons) boxes.push_back(box_of(p)), areas.push_back(std::abs(polygon_area_px2(p)));
  std::vector<int> parent(polygons.size(), -1);
  for (std::size_t i = 0; i < polygons.size(); ++i)
    for (std::size_t k = 0; k < polygons.size(); ++k) {
      if (i == k || areas[k] <= areas[i] || !boxes[k].holds(boxes[i])) continue;
      if (parent[i] >= 0 && areas[k] >= areas[std::size_t(parent[i])]) continue;
      if (inside(polygons[i][0], polygons[k])) parent[i] = int(k);
    }
  return parent;
}

}  // namespace batten
