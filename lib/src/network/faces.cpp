#include "network/faces.h"

#include <algorithm>
#include <map>

namespace batten {
namespace {

std::vector<char> find_bridges(const LineNetwork& net) {
  std::vector<char> out(net.edges.size(), 0);
  std::vector<int> number(net.nodes.size(), -1), low(net.nodes.size(), 0);
  int time = 0;
  struct Visit {
    int node, by_edge;
    std::size_t next;
  };
  for (std::size_t root = 0; root < net.nodes.size(); ++root) {
    if (number[root] >= 0 || net.nodes[root].edges.empty()) continue;
    number[root] = low[root] = time++;
    std::vector<Visit> path{{int(root), -1, 0}};
    while (!path.empty()) {
      Visit& top = path.back();
      const std::vector<int>& edges = net.nodes[top.node].edges;
      if (top.next < edges.size()) {
        const int e = edges[top.next++];
        if (e == top.by_edge) continue;
        const int other = net.edges[e].from == top.node ? net.edges[e].to : net.edges[e].from;
        if (number[other] >= 0) {
          low[top.node] = std::min(low[top.node], number[other]);
        } else {
          number[other] = low[other] = time++;
          path.push_back({other, e, 0});
        }
        continue;
      }
      const Visit done = top;
      path.pop_back();
      if (path.empty()) continue;
      low[path.back().node] = std::min(low[path.back().node], low[done.node]);
      if (low[done.node] > number[path.back().node]) out[done.by_edge] = 1;
    }
  }
  return out;
}

// The direction of a half-edge a little way off its node, where lines that meet have parted.
double leaving_angle(const Polyline& points, double away_px) {
  std::size_t far = 0;
  for (std::size_t i = 1; i < points.size() && far == 0; ++i)
    if (norm2(points[i] - points[0]) > away_px * away_px) far = i;
  if (far == 0) far = std::min(points.size() - 1, std::max<std::size_t>(1, points.size() / 2));
  return angle_of(points[far] - points[0]);
}

}  // namespace

Faces find_faces(const LineNetwork& net, double width_px) {
  Faces out;
  out.is_bridge = find_bridges(net);
  out.next.assign(2 * net.edges.size(), no_half_edge);
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    std::vector<std::pair<double, HalfEdge>> leaving;
    for (const HalfEdge h : net.leaving(int(n)))
      if (!out.is_bridge[edge_of(h)]) leaving.push_back({leaving_angle(net.along(h), 1.2 * width_px), h});
    std::stable_sort(leaving.begin(), leaving.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t i = 0; i < leaving.size(); ++i)
      out.next[twin_of(leaving[i].second)] = leaving[(i + 1) % leaving.size()].second;
  }
  std::vector<char> seen(out.next.size(), 0);
  for (std::size_t h = 0; h < out.next.size(); ++h) {
    if (seen[h] || out.next[h] == no_half_edge) continue;
    Cycle cycle;
    for (HalfEdge g = HalfEdge(h); !seen[g]; g = out.next[g]) seen[g] = 1, cycle.push_back(g);
    out.cycles.push_back(std::move(cycle));
  }
  return out;
}

Polyline polygon_of(const LineNetwork& net, const Cycle& cycle) {
  Polyline out;
  for (const HalfEdge h : cycle) {
    const Polyline part = net.along(h);
    out.insert(out.end(), part.begin(), part.end() - 1);
  }
  return out;
}

std::vector<Cycle> simple_cycles(const LineNetwork& net, const Cycle& walk) {
  std::vector<Cycle> out;
  Cycle path;
  std::map<int, std::size_t> place;  // of each node on the path
  for (const HalfEdge h : walk) {
    const int node = net.source(h);
    if (const auto found = place.find(node); found != place.end()) {
      const std::size_t k = found->second;
      out.emplace_back(path.begin() + std::ptrdiff_t(k), path.end());
      for (std::size_t i = k; i < path.size(); ++i) place.erase(net.source(path[i]));
      path.resize(k);
    }
    place[node] = path.size();
    path.push_back(h);
  }
  if (!path.empty()) out.push_back(std::move(path));
  return out;
}

}  // namespace batten
