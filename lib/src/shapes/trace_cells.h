#pragma once
// Stage: outlined patches -> rough loops along the middle of the band. Topology comes first: the border between two
// cells of paper is a closed loop by construction, whatever the number of strokes.

#include <stop_token>

#include "shapes/find_patches.h"
#include "shapes/rough_loops.h"

namespace batten {

struct CellLoops {
  std::vector<RoughLoop> loops;  ///< none if the lines enclose nothing
  double covered = 0;            ///< share of the ink's crests that lie along a loop; the rest are open lines
  bool gap_closed = false;       ///< only a wider smoothing closed the lines
  bool too_many = false;         ///< more cells than any drawing has: they were not looked at
  double wider = 1;              ///< times the measured width of line, which they were read with
};

/// Loops of one outlined patch. When asked to stop it returns soon, and what it returns is to be thrown away. With more
/// than one thread the second smoothing is tried beside the first, before it is known to be needed; the result is the
/// same. wider: the lines are taken for so many times as wide as they were measured.
CellLoops trace_cells(const Ink& ink, const Patches& patches, int patch, double wider, int threads,
                      const std::stop_token& stop);

}  // namespace batten
