#pragma once
// Stage: ink -> which pixels are pencil line, how wide lines are, and what is dark or shaded all over.

#include "base/pixel_grid.h"
#include "base/progress.h"
#include "ink/separate_ink.h"

namespace batten {

/// All planes have the size of `ink`; one of their pixels is 1 / scale pixels of the scan wide.
struct LineMask {
  double scale = 1;           ///< 1, or 0.5 where the scan is large
  Plane<float> ink;           ///< darker than what lies around it by this share; 0 in the paper
  Plane<std::uint8_t> lines;  ///< 1 in pencil lines; where many strokes make one line, the whole band of them
  Plane<std::uint8_t> solid;  ///< 1 in areas that are dark all over: thicker than four lines
  Plane<std::uint8_t> toned;  ///< 1 well inside shaded and hatched areas
  double dark = 0;            ///< T: how dark a drawn line is in its middle
  double stroke_px = 0;       ///< width of a single stroke
  double width_px = 0;        ///< W: width of a line, bundles of strokes taken as one
};

/// Only ink where `left_out` is 0 counts; an empty plane leaves nothing out. Errors: cancelled.
Result<LineMask> find_lines(const Ink& ink, const Plane<std::uint8_t>& left_out, int threads, const Progress& progress);

/// The place in the scan's grid of a place in the mask's.
inline Point to_scan(const LineMask& mask, Point at) { return grid_of((1 / mask.scale) * page_of(at)); }

}  // namespace batten
