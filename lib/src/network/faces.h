#pragma once
// Faces of a network: what its lines enclose.

#include <vector>

#include "network/line_network.h"

namespace batten {

/// Half-edges in order of walking, each from where the one before ends.
using Cycle = std::vector<HalfEdge>;

struct Faces {
  std::vector<char> is_bridge;  ///< by edge: lies on no cycle
  std::vector<HalfEdge> next;   ///< by half-edge: the next one round its face; no_half_edge for bridges
  std::vector<Cycle> cycles;    ///< one for each face's border; bridges are left out
};

/// Bridges by Tarjan, "A note on finding the bridges of a graph", 1974; borders by following half-edges in order of
/// angle (de Berg et al., "Computational Geometry", 2.2), read 1.2 line widths from the node.
Faces find_faces(const LineNetwork& net, double width_px);

Polyline polygon_of(const LineNetwork& net, const Cycle& cycle);

/// A walk that passes a node twice falls apart into simple cycles.
std::vector<Cycle> simple_cycles(const LineNetwork& net, const Cycle& walk);

}  // namespace batten
