#pragma once
// Small drawings with known shapes, for tests that are about files and not about tracing.

#include <algorithm>
#include <cmath>

#include "support/encode.h"

namespace batten::testing {

inline Raster paper(int width, int height) {
  Raster raster{width, height, 1, 8, {}};
  raster.samples.assign(static_cast<std::size_t>(width * height), 255);
  return raster;
}

/// A black disc (or, with an inner radius, a ring), its edge soft over one pixel.
inline void add_disc(Raster& raster, double x0, double y0, double radius, double inner = 0) {
  for (int y = 0; y < raster.height; ++y)
    for (int x = 0; x < raster.width; ++x) {
      const double r = std::hypot(x + 0.5 - x0, y + 0.5 - y0);
      const double ink =
          std::clamp(radius - r + 0.5, 0.0, 1.0) - (inner > 0 ? std::clamp(inner - r + 0.5, 0.0, 1.0) : 0);
      for (int c = 0; c < std::min(raster.channels, 3); ++c)
        raster.at(x, y, c) = static_cast<std::uint16_t>(std::lround(raster.at(x, y, c) * (1 - ink)));
    }
}

/// A ring and, right of it, a disc: two shapes, three outlines.
inline Raster ring_and_disc() {
  Raster raster = paper(420, 240);
  add_disc(raster, 120, 120, 90, 50);
  add_disc(raster, 320, 120, 60);
  return raster;
}

}  // namespace batten::testing
