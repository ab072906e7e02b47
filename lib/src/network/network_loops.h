#pragma once
// Stage: a network's located paths -> loops and open lines for the curve stages.

#include "base/loops.h"
#include "network/line_paths.h"

namespace batten {

/// Paths in page coordinates with their uncertainty, where their ends lie, and the areas that share borders. Numbers of
/// loops begin at first_loop.
struct NetworkLoops {
  std::vector<Loop> loops;
  std::vector<Area> areas;
  std::vector<LineRunsOn> runs_on;
  bool construction_left_out = false;  ///< pale lines served solid shapes only
  int hole_rims_left_out = 0;          ///< arcs of punched holes
};
NetworkLoops network_loops(const LinePaths& paths, const Strokes& strokes, int first_loop);

}  // namespace batten
