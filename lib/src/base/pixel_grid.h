#pragma once
// The half pixel between the two ways to name a place, added and subtracted here and nowhere else. On the page, and in
// the public interface, (0,0) is the outer corner of the first pixel. A plane's grid names pixel centres: (0,0) is the
// middle of the first pixel.

#include "base/plane.h"
#include "base/vec.h"

namespace batten {

inline Point page_of(Point grid) { return grid + Point{0.5, 0.5}; }
inline Point grid_of(Point page) { return page - Point{0.5, 0.5}; }

/// Value at a place of the page, bilinear between pixel centres.
inline double sample_page(const Plane<float>& plane, Point page) {
  const Point grid = grid_of(page);
  return sample(plane, grid.x, grid.y);
}

/// A ruled line y = y0 + slope x of the grid, in page coordinates.
inline Guide page_guide(double grid_y0_px, double slope) { return {grid_y0_px + 0.5 - 0.5 * slope, slope}; }

}  // namespace batten
