#pragma once
// Stage: lines that border areas become the closed outlines of these areas.

#include <vector>

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

/// What is delivered, and which of the loops each outline was made of.
struct Assembly {
  Drawing drawing;
  std::vector<std::vector<Area::Part>> parts;  ///< of each outline: one for a loop as it is, more for an area
  std::vector<Outline> crossed;                ///< areas that were left out since they cross themselves
  std::vector<int> outline_of;                 ///< for each loop: the outline that it became, or the first area; or -1
  /// For each loop that was delivered as it is: the node that each of its nodes became.
  std::vector<std::vector<int>> node_of;
};

/// `of_loops` has an outline for each loop, closed ones first. The areas come behind the closed outlines, with nodes
/// and handles bit for bit the same in both of two neighbours; then follow the lines that border none. An outline
/// that lies in another is its counter and runs the other way; areas that share a border lie beside one another.
/// An area with a part that is no open line, that does not close or that crosses itself, small loops apart, is left
/// out, its lines stay lines.
Assembly assemble_areas(const Drawing& of_loops, const std::vector<Area>& areas, const Options& options);

}  // namespace batten
