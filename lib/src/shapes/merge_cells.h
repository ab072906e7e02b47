#pragma once
// Which of the flooded cells belong together, by what the border between them is like.

#include <map>

#include "shapes/flood_cells.h"
#include "shapes/height_map.h"

namespace batten {

/// Where two cells touch.
struct Border {
  std::vector<float> heights;  ///< of the crest, one for each pair of touching pixels
  float lowest = 0;
  float median = -1;  ///< of the heights; below 0: not known yet
  double length_px() const { return double(heights.size()); }
};

struct CellMap {
  Cells cells;
  std::vector<bool> at_frame;                  ///< one for each cell
  std::vector<std::map<int, Border>> borders;  ///< of each cell, by neighbour; both ways
};

/// A gap in a line and a pinch of the inside by its own two sides have the same height of saddle (0.07 to 0.4 of the
/// line): no threshold tells them apart, but the length of the border does. Cells are merged one pair at a time, until
/// nothing changes. W is heights.band_px and T heights.level; a door is a saddle under 0.3 T. What is merged:
/// - slivers between strokes: in-radius under 0.6 W, or under 0.9 W with a door;
/// - faint borders: median under 0.35 T, which is paper grain, or under 0.65 T where short and with a saddle under 0.2
/// T;
/// - pinches: border under 5 W and under a fifth of either perimeter, or under two fifths with a door. Real borders are
///   over 0.9 of it. A border as dark as a line all along whose ends are wedges is no pinch: there two shapes touch,
///   and both keep it;
/// - gaps between two strokes that feel for one edge: in-radius under 1.2 W, pointed at the ends, with one side of the
///   edge on the one hand and the other side on the other. Two cells that share most of a line do not both border on a
///   third along it, unless that lies within the line.
CellMap merge_cells(const HeightMap& heights, Cells cells, const std::stop_token& stop);

/// Depth parity of each cell: 0 paper (as the frame), 1 inside. Cells take the other parity than the neighbour they
/// share the longest border with, outwards from the frame, so that a short false contact decides nothing.
std::vector<int> parity_of(const CellMap& map);

}  // namespace batten
