#pragma once
// Divides a patch into cells of paper that ink separates.

#include <cstdint>
#include <stop_token>
#include <vector>

#include "base/plane.h"

namespace batten {

struct Cells {
  Plane<std::int32_t> labels;  ///< 0 .. count-1 at every pixel; neighbouring cells meet on the crest of the ink
  int count = 0;
};

struct FloodSettings {
  double least_depth;  ///< a basin counts once the flood stands this high above its lowest pixel
  double least_area_px2;
  double highest_birth;  ///< a basin whose lowest pixel lies above this is a hollow within the ink, not paper
};

/// Watershed by flooding with persistence: pixels are taken in ascending order of height (0 where negative: that is
/// bare paper). Where two basins meet that both count, they stay apart; any other basin is swallowed. When asked to
/// stop it returns soon, and what it returns is to be thrown away.
Cells flood_cells(const Plane<float>& height, const FloodSettings& settings, const std::stop_token& stop);

}  // namespace batten
