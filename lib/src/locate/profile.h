#pragma once
// Leaf of locate_edge and locate_band: values across a loop.

#include "base/level_loops.h"
#include "base/plane.h"

namespace batten {

/// Row i holds the values along the normal of point i, from -reach to +reach (outwards), in 2 * half + 1 steps.
struct Profiles {
  Plane<float> values;
  int half = 0;
  double step_px = 0;
  double offset(int column) const { return (column - half) * step_px; }
};

Profiles profiles_across(const Plane<float>& plane, const Polyline& loop, const Polyline& normals, double reach_px,
                         double step_px);
/// Gaussian average of each column round the closed loop; sigma in rows.
void average_along(Plane<float>& rows, double sigma_rows);

}  // namespace batten
