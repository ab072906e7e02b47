#include "network/find_connectors.h"

#include <algorithm>
#include <map>
#include <set>

namespace batten {
namespace {

// The half-edges of a stroke from its first one on, up to where it bends: there it may run into a side of a shape.
Cycle stroke_from(const LineNetwork& net, const Strokes& strokes, HalfEdge first, double width_px) {
  constexpr double largest_bend_deg = 20;
  Cycle out{first};
  std::set<int> seen{edge_of(first)};
  for (HalfEdge h = strokes.after(first); h != no_half_edge && seen.insert(edge_of(h)).second; h = strokes.after(h)) {
    if (bend_deg(net, out.back(), h, width_px) > largest_bend_deg) break;
    out.push_back(h);
  }
  return out;
}

bool leads_outside(const LineNetwork& net, HalfEdge h, const Polyline& polygon, double width_px) {
  const Polyline points = net.along(h);
  const Point direction = leaving_direction(points, 4 * width_px, 0.8 * width_px);
  const double reach_px = std::min(3 * width_px, 0.5 * open_length_px(points));
  return !contains(polygon, points.front() + reach_px * direction);
}

}  // namespace

std::vector<Cycle> find_connectors(const LineNetwork& net, const Strokes& strokes, const std::vector<Cycle>& borders,
                                   double width_px) {
  std::map<HalfEdge, std::set<int>> from;  // first half-edges of strokes that lead out of borders, and which borders
  for (std::size_t b = 0; b < borders.size(); ++b) {
    std::set<int> own;
    for (const HalfEdge h : borders[b]) own.insert(edge_of(h));
    const Polyline polygon = polygon_of(net, borders[b]);
    for (const HalfEdge on : borders[b])
      for (const HalfEdge h : net.leaving(net.source(on)))
        if (!own.count(edge_of(h)) && strokes.after(twin_of(h)) == no_half_edge &&
            leads_outside(net, h, polygon, width_px))
          from[h].insert(int(b));
  }
  std::vector<Cycle> out;
  for (const auto& [first, ends_on] : from) {
    Cycle stroke = stroke_from(net, strokes, first, width_px);
    const auto other = from.find(twin_of(stroke.back()));
    const bool comes_back = other != from.end() && std::any_of(ends_on.begin(), ends_on.end(),
                                                               [&](int b) { return other->second.count(b) > 0; });
    if (!comes_back) out.push_back(std::move(stroke));
  }
  return out;
}

}  // namespace batten
