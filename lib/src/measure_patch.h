#pragma once
// Leaf of find_patches: figures of one patch of ink that tell a pencil line from a shaded shape.

#include <cstdint>

#include "plane.h"

namespace batten {

struct PatchMeasure {
  double top = 0;                  ///< level of its ink: upper quartile over the ink, 0..1
  double band_px = 0;              ///< W: upper quartile of thickness along the middle of the ink
  double typical_px = 0;           ///< median of thickness along the middle of the ink
  double largest_px = 0;           ///< largest thickness
  double edge_over_thickness = 0;  ///< width of the edge's slope / typical thickness: small where ink has a plateau
  double edge_over_largest = 0;    ///< the same against the largest thickness
  double grain = 0;                ///< scatter of the ink inside, 1 sigma; 0 for crisp pictures
  double perimeter_px = 0;         ///< of the ink
  double area_px2 = 0;
};

/// ink: one patch, 0 elsewhere. noise: of bare paper. smoothing_px: standard deviation to see through paper grain.
PatchMeasure measure_patch(const Plane<float>& ink, double noise, double smoothing_px);

/// Above this level smoothed ink is ink: seven standard deviations of white noise left by a Gaussian of 1.2 px (which
/// keeps 1/(2 sqrt(pi) 1.2) = .24 of it), and never below 4 %.
double ink_threshold(double noise);

}  // namespace batten
