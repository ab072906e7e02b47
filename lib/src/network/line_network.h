#pragma once
// The network of pencil lines as a half-edge structure: nodes (ends and junctions) and edges (centre lines between two
// nodes). Neighbouring faces share the very same edge, one from each side.

#include <vector>

#include "base/polyline.h"

namespace batten {

/// One side of an edge, walked in one direction: 2 e runs with edge e, 2 e + 1 against it (Muller & Preparata, "Finding
/// the intersection of two convex polyhedra", 1978; the numbering is common practice, no source).
using HalfEdge = int;
inline constexpr HalfEdge no_half_edge = -1;
inline HalfEdge twin_of(HalfEdge h) { return h ^ 1; }
inline int edge_of(HalfEdge h) { return h >> 1; }

struct NetNode {
  Point at;
  std::vector<int> edges;  ///< each edge that begins or ends here, once, in order of number
};

struct NetEdge {
  int from = 0, to = 0;  ///< nodes; the same one for a ring
  Polyline points;       ///< from the one node to the other, both included, about 1 px apart
  bool made = false;     ///< a gap that was closed: nothing is drawn here
  bool alive = true;
};

struct LineNetwork {
  std::vector<NetNode> nodes;
  std::vector<NetEdge> edges;

  int add_node(Point at);
  int add_edge(int from, int to, Polyline points, bool made = false);
  void remove_edge(int edge);
  /// How many ends of edges meet at a node; both of a ring's count.
  int degree(int node) const;
  std::vector<int> living() const;
  int source(HalfEdge h) const { return h & 1 ? edges[edge_of(h)].to : edges[edge_of(h)].from; }
  int target(HalfEdge h) const { return source(twin_of(h)); }
  /// Half-edges that leave a node.
  std::vector<HalfEdge> leaving(int node) const;
  /// Points in the direction of walking.
  Polyline along(HalfEdge h) const;
  double length_px(int edge) const;
  /// Cuts an edge at one of its points, neither the first nor the last; returns the new node.
  int split(int edge, std::size_t point);
  /// Makes one edge of the two that meet at a node where nothing else does.
  void join_pairs();
  /// Moves everything at node `from` to node `into`; edges between the two that are shorter than least_ring_px go.
  void merge_nodes(int into, int from, Point at, double least_ring_px);
};

/// Unit direction in which an open polyline leaves its first point, over the arc from skip_px to reach_px.
Point leaving_direction(const Polyline& points, double reach_px, double skip_px = 0);

}  // namespace batten
