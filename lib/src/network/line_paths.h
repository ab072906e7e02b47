#pragma once
// Stage: network -> the lines and shapes in it, each as one path.

#include "network/find_network.h"

namespace batten {

/// A path through the network, in grid coordinates of the scan.
struct LinePath {
  Polyline points;         ///< about 1 px apart; closed: last != first
  std::vector<char> sure;  ///< by point: 0 within a line's width of a junction, where other ink counts in
  bool closed = false;
  HalfEdge first = no_half_edge, last = no_half_edge;
  int start_node = -1, end_node = -1;         ///< open: nodes of the network
  bool start_free = false, end_free = false;  ///< open: nothing else meets there
  std::vector<int> inner_nodes;               ///< junctions that the path runs through
  double width_px = 0;                        ///< of the line, px of the scan
};

/// An area with its border as runs of paths.
struct PathArea {
  struct Part {
    int path = 0;
    bool reversed = false;
  };
  std::vector<Part> parts;  ///< a single closed path, or open ones in order
};

struct LinePaths {
  std::vector<LinePath> paths;
  std::vector<PathArea> areas;  ///< of the shapes that share some of their border
};

/// Shapes that share nothing become closed paths. Where shapes share some of their border it is cut where the sharing
/// begins and ends, so that neighbours have the same path. What no shape uses becomes strokes, followed through
/// junctions.
LinePaths line_paths(const LineMask& mask, const Network& network);

/// Takes out the paths that are marked, none of which an area needs, and numbers the others in the areas anew. Returns
/// how many went.
int drop_paths(const std::vector<char>& marked, LinePaths* paths);

}  // namespace batten
