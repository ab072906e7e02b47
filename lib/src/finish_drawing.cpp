#include "finish_drawing.h"

#include <algorithm>
#include <limits>

namespace batten {
namespace {

double polygon_area(const std::vector<Point>& p) {
  double sum = 0;
  for (std::size_t i = 0; i < p.size(); ++i) sum += cross(p[i] - p[0], p[(i + 1) % p.size()] - p[0]);
  return 0.5 * sum;
}

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

Outline outline_of(const SpacedLoop& loop, const DraftLoop& d) {
  Outline o;
  o.kind = loop.kind;
  o.sigma_px = loop.sigma_px;
  o.band_px = loop.band_px;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const Joint& j = d.joints[i];
    Node n;
    n.at = j.at;
    n.smooth = !j.corner;
    n.reason = j.reason;
    n.handle_out = cubic_of(d, i)[1];
    n.handle_in = cubic_of(d, d.previous(i))[2];
    if (!j.corner && j.angle_fixed) {  // exactly on the axis, not by way of a cosine of pi / 2
      const bool level = std::abs(std::cos(j.angle)) > 0.5;
      (level ? n.handle_in.y : n.handle_in.x) = level ? j.at.y : j.at.x;
      (level ? n.handle_out.y : n.handle_out.x) = level ? j.at.y : j.at.x;
    }
    if (j.corner) {
      const auto on_axis = [&](Point* h, double angle) {
        const bool level = std::abs(std::cos(angle)) > 0.5;
        (level ? h->y : h->x) = level ? j.at.y : j.at.x;
      };
      if (d.pieces[i].fixed0 && !d.pieces[i].straight) on_axis(&n.handle_out, d.pieces[i].a0);
      const Piece& before = d.pieces[d.previous(i)];
      if (before.fixed1 && !before.straight) on_axis(&n.handle_in, before.a1);
    }
    o.nodes.push_back(n);
  }
  // Handles beside a level or upright straight lie exactly along it.
  for (std::size_t i = 0; i < d.size(); ++i) {
    if (!d.pieces[i].straight) continue;
    const std::size_t e = d.next(i);
    for (const bool level : {true, false}) {
      if (!(level ? d.pieces[i].level : d.pieces[i].upright)) continue;
      if (!d.joints[i].corner) (level ? o.nodes[i].handle_in.y : o.nodes[i].handle_in.x) = level ? o.nodes[i].at.y : o.nodes[i].at.x;
      if (!d.joints[e].corner) (level ? o.nodes[e].handle_out.y : o.nodes[e].handle_out.x) = level ? o.nodes[e].at.y : o.nodes[e].at.x;
    }
  }
  return o;
}

void turn_round(Outline* o) {
  std::reverse(o->nodes.begin(), o->nodes.end());
  for (Node& n : o->nodes) std::swap(n.handle_in, n.handle_out);
}

std::size_t start_node(const Outline& o) {
  const bool corners = std::any_of(o.nodes.begin(), o.nodes.end(), [](const Node& n) { return !n.smooth; });
  const auto fits = [&](const Node& n) { return corners ? !n.smooth : true; };
  double lowest = -std::numeric_limits<double>::infinity();
  for (const Node& n : o.nodes)
    if (fits(n)) lowest = std::max(lowest, n.at.y);
  const double slack = std::max(2.0, o.band_px);
  std::size_t best = 0;
  double x = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < o.nodes.size(); ++i)
    if (fits(o.nodes[i]) && o.nodes[i].at.y >= lowest - slack && o.nodes[i].at.x < x) x = o.nodes[i].at.x, best = i;
  return best;
}

}  // namespace

std::vector<int> nesting(const std::vector<std::vector<Point>>& polygons) {
  std::vector<Bounds> boxes;
  std::vector<double> areas;
  for (const auto& p : polygons) boxes.push_back(box_of(p)), areas.push_back(std::abs(polygon_area(p)));
  std::vector<int> parent(polygons.size(), -1);
  for (std::size_t i = 0; i < polygons.size(); ++i)
    for (std::size_t k = 0; k < polygons.size(); ++k) {
      if (i == k || areas[k] <= areas[i] || !boxes[k].holds(boxes[i])) continue;
      if (parent[i] >= 0 && areas[k] >= areas[std::size_t(parent[i])]) continue;
      if (inside(polygons[i][0], polygons[k])) parent[i] = int(k);
    }
  return parent;
}

Drawing finish_drawing(const SpacedLoops& spaced, const Draft& draft, const std::vector<Guide>& guides) {
  Drawing out;
  out.guides = guides;
  std::vector<std::vector<Point>> polygons;
  for (const SpacedLoop& l : spaced.loops) polygons.push_back(l.even.points);
  const std::vector<int> parent = nesting(polygons);
  for (std::size_t i = 0; i < draft.loops.size(); ++i) {
    Outline o = outline_of(spaced.loops[i], draft.loops[i]);
    o.parent = parent[i];
    int depth = 0;
    for (int k = parent[i]; k >= 0; k = parent[std::size_t(k)]) ++depth;
    if ((polygon_area(polygons[i]) > 0) != (depth % 2 == 0)) turn_round(&o);
    std::rotate(o.nodes.begin(), o.nodes.begin() + std::ptrdiff_t(start_node(o)), o.nodes.end());
    out.outlines.push_back(std::move(o));
  }
  return out;
}

}  // namespace batten
