#include "finish/finish_drawing.h"

#include <algorithm>
#include <limits>

#include "base/nesting.h"

namespace batten {
namespace {

Outline outline_of(const SpacedLoop& loop, const DraftLoop& d) {
  Outline o;
  o.kind = loop.kind;
  o.sigma_px = loop.sigma_px;
  o.band_px = loop.band_px;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const DraftNode& j = d.nodes[i];
    Node n;
    n.at = j.at;
    n.smooth = !j.corner;
    n.reason = j.reason;
    n.handle_after = cubic_of(d, i)[1];
    n.handle_before = cubic_of(d, d.previous(i))[2];
    if (!j.corner && j.angle_fixed) {  // exactly on the axis, not by way of a cosine of pi / 2
      const bool level = std::abs(std::cos(j.angle)) > 0.5;
      (level ? n.handle_before.y : n.handle_before.x) = level ? j.at.y : j.at.x;
      (level ? n.handle_after.y : n.handle_after.x) = level ? j.at.y : j.at.x;
    }
    if (j.corner) {
      const auto on_axis = [&](Point* h, double angle) {
        const bool level = std::abs(std::cos(angle)) > 0.5;
        (level ? h->y : h->x) = level ? j.at.y : j.at.x;
      };
      if (d.segments[i].start.on_axis && !d.segments[i].straight)
        on_axis(&n.handle_after, d.segments[i].start.angle_rad);
      const DraftSegment& before = d.segments[d.previous(i)];
      if (before.end.on_axis && !before.straight) on_axis(&n.handle_before, before.end.angle_rad);
    }
    o.nodes.push_back(n);
  }
  // Handles beside a level or vertical straight lie exactly along it.
  for (std::size_t i = 0; i < d.size(); ++i) {
    if (!d.segments[i].straight) continue;
    const std::size_t e = d.next(i);
    for (const bool level : {true, false}) {
      if (!(level ? d.segments[i].level : d.segments[i].vertical)) continue;
      if (!d.nodes[i].corner)
        (level ? o.nodes[i].handle_before.y : o.nodes[i].handle_before.x) = level ? o.nodes[i].at.y : o.nodes[i].at.x;
      if (!d.nodes[e].corner)
        (level ? o.nodes[e].handle_after.y : o.nodes[e].handle_after.x) = level ? o.nodes[e].at.y : o.nodes[e].at.x;
    }
  }
  return o;
}

bool is_extreme(Reason r) {
  return r == Reason::extreme_left || r == Reason::extreme_right || r == Reason::extreme_top ||
         r == Reason::extreme_bottom;
}

std::size_t start_node(const SpacedLoop& loop, const DraftLoop& d, Options::Start start) {
  const auto any = [&](auto&& test) { return std::any_of(d.nodes.begin(), d.nodes.end(), test); };
  const auto corner = [](const DraftNode& j) { return j.corner; };
  const auto extreme = [](const DraftNode& j) { return is_extreme(j.reason); };
  const bool at_extreme = any(extreme) && (start == Options::Start::extreme || !any(corner));
  const bool at_corner = !at_extreme && any(corner);
  const auto fits = [&](const DraftNode& j) { return at_extreme ? extreme(j) : !at_corner || j.corner; };
  double lowest = -std::numeric_limits<double>::infinity();
  for (const DraftNode& j : d.nodes)
    if (fits(j)) lowest = std::max(lowest, j.at.y);
  const double slack = std::max(2.0, loop.band_px);
  std::size_t best = 0;
  double x = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < d.size(); ++i)
    if (fits(d.nodes[i]) && d.nodes[i].at.y >= lowest - slack && d.nodes[i].at.x < x) x = d.nodes[i].at.x, best = i;
  return best;
}

Outline in_order(Outline o, const NodeOrder& order) {
  std::vector<Node> nodes;
  for (std::size_t j : order.draft_node_of) {
    nodes.push_back(o.nodes[j]);
    if (order.reversed) std::swap(nodes.back().handle_before, nodes.back().handle_after);
  }
  o.nodes = std::move(nodes);
  return o;
}

std::vector<int> parents_of(const SpacedLoops& spaced) {
  std::vector<std::vector<Point>> polygons;
  for (const SpacedLoop& l : spaced.loops) polygons.push_back(l.curve.points);
  return nesting(polygons);
}

}  // namespace

std::vector<NodeOrder> node_orders(const SpacedLoops& spaced, const Draft& draft, const Options& options) {
  const std::vector<int> parent = parents_of(spaced);
  std::vector<NodeOrder> out;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const DraftLoop& d = draft.loops[k];
    int depth = 0;
    for (int p = parent[k]; p >= 0; p = parent[std::size_t(p)]) ++depth;
    const bool clockwise = (depth % 2 == 0) == (options.direction == Options::Direction::clockwise);
    NodeOrder order;
    order.reversed = (signed_area_px2(spaced.loops[k].curve.points) > 0) != clockwise;
    std::size_t j = start_node(spaced.loops[k], d, options.start);
    for (std::size_t i = 0; i < d.size(); ++i, j = order.reversed ? d.previous(j) : d.next(j))
      order.draft_node_of.push_back(j);
    out.push_back(std::move(order));
  }
  return out;
}

Drawing finish_drawing(const SpacedLoops& spaced, const Draft& draft, const std::vector<Guide>& guides,
                       const Options& options) {
  Drawing out;
  out.guides = guides;
  const std::vector<int> parent = parents_of(spaced);
  const std::vector<NodeOrder> orders = node_orders(spaced, draft, options);
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    Outline o = in_order(outline_of(spaced.loops[k], draft.loops[k]), orders[k]);
    o.parent = parent[k];
    out.outlines.push_back(std::move(o));
  }
  return out;
}

}  // namespace batten
