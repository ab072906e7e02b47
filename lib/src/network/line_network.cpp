#include "network/line_network.h"

#include <algorithm>

namespace batten {
namespace {

void insert_sorted(std::vector<int>* list, int value) {
  const auto at = std::lower_bound(list->begin(), list->end(), value);
  if (at == list->end() || *at != value) list->insert(at, value);
}

void erase_sorted(std::vector<int>* list, int value) {
  const auto at = std::lower_bound(list->begin(), list->end(), value);
  if (at != list->end() && *at == value) list->erase(at);
}

Polyline reversed(Polyline points) {
  std::reverse(points.begin(), points.end());
  return points;
}

// The first point at which the arc from the start reaches a length; the last point if it never does.
std::size_t point_at_arc(const Polyline& points, double arc_px) {
  double seen = 0;
  for (std::size_t i = 1; i < points.size(); ++i)
    if ((seen += distance(points[i - 1], points[i])) >= arc_px) return i;
  return points.size() - 1;
}

}  // namespace

int LineNetwork::add_node(Point at) {
  nodes.push_back({at, {}});
  return int(nodes.size()) - 1;
}

int LineNetwork::add_edge(int from, int to, Polyline points, bool made) {
  const int e = int(edges.size());
  edges.push_back({from, to, std::move(points), made, true});
  insert_sorted(&nodes[from].edges, e);
  insert_sorted(&nodes[to].edges, e);
  return e;
}

void LineNetwork::remove_edge(int edge) {
  NetEdge& e = edges[edge];
  erase_sorted(&nodes[e.from].edges, edge);
  erase_sorted(&nodes[e.to].edges, edge);
  e.alive = false;
  e.points.clear();
}

int LineNetwork::degree(int node) const {
  int out = 0;
  for (const int e : nodes[node].edges) out += (edges[e].from == node) + (edges[e].to == node);
  return out;
}

std::vector<int> LineNetwork::living() const {
  std::vector<int> out;
  for (std::size_t e = 0; e < edges.size(); ++e)
    if (edges[e].alive) out.push_back(int(e));
  return out;
}

std::vector<HalfEdge> LineNetwork::leaving(int node) const {
  std::vector<HalfEdge> out;
  for (const int e : nodes[node].edges) {
    if (edges[e].from == node) out.push_back(2 * e);
    if (edges[e].to == node) out.push_back(2 * e + 1);
  }
  return out;
}

Polyline LineNetwork::along(HalfEdge h) const {
  const Polyline& points = edges[edge_of(h)].points;
  return h & 1 ? reversed(points) : points;
}

double LineNetwork::length_px(int edge) const { return open_length_px(edges[edge].points); }

int LineNetwork::split(int edge, std::size_t point) {
  const NetEdge whole = edges[edge];
  const int node = add_node(whole.points[point]);
  remove_edge(edge);
  const auto middle = whole.points.begin() + std::ptrdiff_t(point);
  add_edge(whole.from, node, Polyline(whole.points.begin(), middle + 1), whole.made);
  add_edge(node, whole.to, Polyline(middle, whole.points.end()), whole.made);
  return node;
}

void LineNetwork::join_pairs() {
  for (std::size_t n = 0; n < nodes.size(); ++n) {
    if (nodes[n].edges.size() != 2 || degree(int(n)) != 2) continue;
    const int first = nodes[n].edges[0], second = nodes[n].edges[1];
    const NetEdge a = edges[first], b = edges[second];
    Polyline points = a.to == int(n) ? a.points : reversed(a.points);
    const Polyline rest = b.from == int(n) ? b.points : reversed(b.points);
    points.insert(points.end(), rest.begin() + 1, rest.end());
    const int from = a.to == int(n) ? a.from : a.to, to = b.from == int(n) ? b.to : b.from;
    remove_edge(first);
    remove_edge(second);
    add_edge(from, to, std::move(points), a.made && b.made);
  }
}

void LineNetwork::merge_nodes(int into, int from, Point at, double least_ring_px) {
  nodes[into].at = at;
  for (const int e : std::vector<int>(nodes[from].edges)) {
    erase_sorted(&nodes[from].edges, e);
    if (edges[e].from == from) edges[e].from = into;
    if (edges[e].to == from) edges[e].to = into;
    insert_sorted(&nodes[into].edges, e);
  }
  for (const int e : std::vector<int>(nodes[into].edges)) {
    NetEdge& edge = edges[e];
    if (edge.from == into) edge.points.front() = at;
    if (edge.to == into) edge.points.back() = at;
    if (edge.from == into && edge.to == into && length_px(e) < least_ring_px) remove_edge(e);
  }
}

Point leaving_direction(const Polyline& points, double reach_px, double skip_px) {
  // A short line is read from beyond a third of itself at most.
  const std::size_t from = point_at_arc(points, std::min(skip_px, 0.3 * open_length_px(points)));
  const Point a = skip_px > 0 ? points[from] : points.front(), b = points[point_at_arc(points, reach_px)];
  return a == b ? unit(points.back() - points.front()) : unit(b - a);
}

}  // namespace batten
