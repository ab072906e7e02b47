#pragma once
// Ink of a band as a formula, for tests of readings: by exact distance from a polyline, a Gaussian across.

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/plane.h"
#include "base/vec.h"

namespace batten::support {

/// size x size pixels; `peak` ink on the line, `sd_px` across it.
inline Plane<float> band_along(const std::vector<Point>& line, int size, double sd_px, double peak = 0.6) {
  Plane<float> ink(size, size);
  for (int y = 0; y < size; ++y)
    for (int x = 0; x < size; ++x) {
      double best = 1e18;
      const Point q{x + 0.5, y + 0.5};
      for (std::size_t k = 0; k + 1 < line.size(); ++k) {
        const Point d = line[k + 1] - line[k];
        best = std::min(best, norm2(q - (line[k] + std::clamp(dot(q - line[k], d) / norm2(d), 0.0, 1.0) * d)));
      }
      ink.at(x, y) = float(peak * std::exp(-0.5 * best / (sd_px * sd_px)));
    }
  return ink;
}

}  // namespace batten::support
