#pragma once
// Holes punched along the edge of a sheet, where the dark table shows through.

#include <stop_token>
#include <vector>

#include "base/plane.h"
#include "base/vec.h"

namespace batten {

struct Hole {
  Point centre;  ///< grid coordinates
  double radius_px = 0;
};

/// Solid dark discs of one size in a row along an edge of the sheet (or of the picture), as far from it and from one
/// another as ISO 838 (6 mm wide, 12 mm from the edge, 80 mm apart; four of them: 888) and the common punches for three
/// and four holes have it, in widths of a hole. Two that stand as in ISO 838, or three and more. `no_sheet`: what lies
/// beyond the sheet, at any scale; may be empty. None when asked to stop.
std::vector<Hole> find_holes(const Plane<float>& ink, const Plane<std::uint8_t>& no_sheet, const std::stop_token& stop);

/// Does a line or an outline lie within a hole and its rim? It is none then; lines of the drawing that run past a hole,
/// or end at one, stay whole, which they would not if its ink were taken out. `points` in grid coordinates.
bool lies_in_hole(const std::vector<Hole>& holes, const std::vector<Point>& points);

}  // namespace batten
