#include "network/clean_network.h"

#include <cmath>

#include "base/plane_cv.h"
#include "network/discs.h"
#include "network/point_grid.h"

namespace batten {
namespace {

// Living edges, those of fewest points first.
std::vector<int> shortest_first(const LineNetwork& net) {
  std::vector<int> out = net.living();
  std::stable_sort(out.begin(), out.end(),
                   [&](int a, int b) { return net.edges[a].points.size() < net.edges[b].points.size(); });
  return out;
}

}  // namespace

LineDepth line_depth(const Plane<std::uint8_t>& lines) {
  LineDepth out(lines.width, lines.height);
  cv::Mat1f kept = as_mat(out);
  depth_in(as_mat(lines)).copyTo(kept);
  return out;
}

double depth_at(const LineDepth& depth, Point at) {
  const int x = std::clamp(int(std::lround(at.x)), 0, depth.width - 1);
  const int y = std::clamp(int(std::lround(at.y)), 0, depth.height - 1);
  return depth.at(x, y);
}

void merge_junctions(const LineDepth& depth, LineNetwork* net) {
  constexpr double longest_px = 25;  // no pencil line is as wide, so no edge as long lies within one
  for (const int e : shortest_first(*net)) {
    if (!net->edges[e].alive) continue;
    const auto [from, to] = std::pair(net->edges[e].from, net->edges[e].to);
    const double length_px = net->length_px(e);
    if (length_px > longest_px || from == to || net->degree(from) < 3 || net->degree(to) < 3) continue;
    const Point a = net->nodes[from].at, b = net->nodes[to].at;
    if (length_px >= 0.7 * (depth_at(depth, a) + depth_at(depth, b))) continue;
    const Point middle = 0.5 * (a + b);
    net->remove_edge(e);
    net->merge_nodes(from, to, middle, 3 * depth_at(depth, middle) + 4);
  }
}

void trim_overlaps(double width_px, LineNetwork* net) {
  const PointGrid grid(*net, 2 * width_px);
  const std::size_t known = net->edges.size();
  std::vector<std::size_t> cut_before(known, 0), cut_after(known);  // points of each edge that are still there
  for (std::size_t e = 0; e < known; ++e) cut_after[e] = net->edges[e].points.size();
  const auto beside_another = [&](Point at, int own) {
    bool found = false;
    grid.for_each_near(at, 1.2 * width_px, [&](const PointGrid::Entry& e) {
      found |= e.edge != own && net->edges[e.edge].alive && e.point >= cut_before[e.edge] &&
               e.point < cut_after[e.edge] && distance(net->edges[e.edge].points[e.point], at) < 1.2 * width_px;
    });
    return found;
  };
  struct Trim {
    int edge;
    bool at_end;
  };
  std::vector<Trim> ends;
  for (const int e : net->living())
    for (const bool at_end : {false, true})
      if (net->degree(at_end ? net->edges[e].to : net->edges[e].from) == 1) ends.push_back({e, at_end});
  for (const Trim& trim : ends) {
    const int e = trim.edge;
    const bool at_end = trim.at_end;
    const Polyline& points = net->edges[e].points;
    if (points.empty()) continue;
    const std::size_t n = points.size();
    const auto at = [&](std::size_t k) { return points[at_end ? n - 1 - k : k]; };
    double length_px = 0;
    std::size_t k = 0;
    for (; k + 1 < n && beside_another(at(k), e); ++k) length_px += distance(at(k), at(k + 1));
    if (length_px < 2.5 * width_px) continue;
    if (double(n - k) < 1.5 * width_px)
      net->remove_edge(e);
    else if (at_end)
      cut_after[e] = n - k;
    else
      cut_before[e] = k;
  }
  for (std::size_t e = 0; e < known; ++e) {
    const NetEdge edge = net->edges[e];
    if (!edge.alive || (cut_before[e] == 0 && cut_after[e] == edge.points.size())) continue;
    net->remove_edge(int(e));
    if (cut_after[e] < cut_before[e] + 2) continue;
    const Polyline rest(edge.points.begin() + std::ptrdiff_t(cut_before[e]),
                        edge.points.begin() + std::ptrdiff_t(cut_after[e]));
    const int from = cut_before[e] > 0 ? net->add_node(rest.front()) : edge.from;
    const int to = cut_after[e] < edge.points.size() ? net->add_node(rest.back()) : edge.to;
    net->add_edge(from, to, rest);
  }
  net->join_pairs();
}

void remove_hairs(const LineDepth& depth, LineNetwork* net) {
  constexpr std::size_t longest_points = 60;
  // What a hair leaves behind may be one itself.
  for (int round = 0; round < 3; ++round) {
    bool any = false;
    for (const int e : shortest_first(*net)) {
      const NetEdge& edge = net->edges[e];
      if (!edge.alive || edge.points.size() > longest_points) continue;
      const double length_px = net->length_px(e);
      if (edge.from == edge.to) {
        if (net->degree(edge.from) > 2 && length_px < 4 * depth_at(depth, net->nodes[edge.from].at))
          net->remove_edge(e), any = true;
        continue;
      }
      const bool from_end = net->degree(edge.from) == 1, to_end = net->degree(edge.to) == 1;
      if (from_end == to_end) continue;
      const int root = from_end ? edge.to : edge.from;
      if (net->degree(root) >= 3 && length_px < 2.2 * depth_at(depth, net->nodes[root].at) + 1)
        net->remove_edge(e), any = true;
    }
    net->join_pairs();
    if (!any) break;
  }
}

}  // namespace batten
