#include "network/clean_network.h"

#include <cmath>

#include "base/plane_cv.h"
#include "network/discs.h"

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
