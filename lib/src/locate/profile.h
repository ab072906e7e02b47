#pragma once
// The values of a plane across a loop.

#include "base/plane.h"
#include "base/polyline.h"

namespace batten {

/// Row i holds the values along the normal of point i, from the inside outwards, in 2 * half + 1 steps.
struct Profiles {
  Plane<float> values;
  int half = 0;
  double step_px = 0;
  double offset(int column) const { return (column - half) * step_px; }
};

/// Looks half_length_px to either side of the loop.
Profiles profiles_across(const Plane<float>& plane, const Polyline& loop, const Polyline& normals,
                         double half_length_px, double step_px);
/// Gaussian average of each column round the closed loop; the standard deviation is in rows.
void average_along(double sigma_rows, Plane<float>* rows);

}  // namespace batten
