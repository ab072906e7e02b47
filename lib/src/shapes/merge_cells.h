#pragma once
// Leaf of trace_cells: which of the flooded cells belong together, by what the border between them is like.

#include <map>

#include "shapes/flood_cells.h"

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

struct MergeSettings {
  double band_px;  ///< W, in pixels of the plane
  double level;    ///< T: typical height of the crest of a line
};

/// A gap in a line and a pinch of the inside by its own two sides have the same height of saddle (0.07 to 0.4 of the
/// line): no threshold tells them apart, but the length of the border does. One merge at a time, until nothing changes:
/// slivers between strokes (in-radius under 0.6 W, or
/// under 0.9 W with a door: a saddle under 0.3 T), faint borders (median under 0.35 T: paper
/// grain; under 0.65 T where short and with a door), pinches (border
/// under 5 W and under a fifth of either perimeter, or under two fifths with a door: real borders are over 0.9 of it).
/// No pinch: a border as dark as a line all along whose ends are wedges. There two shapes touch, and both keep it.
CellMap merge_cells(const Plane<float>& height, Cells cells, const MergeSettings& settings,
                    const std::stop_token& stop);

/// Depth parity of each cell: 0 paper (as the frame), 1 inside. Cells take the other parity than the neighbour they
/// share the longest border with, outwards from the frame, so that a short false contact decides nothing.
std::vector<int> parity_of(const CellMap& map);

}  // namespace batten
