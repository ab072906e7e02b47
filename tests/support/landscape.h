#pragma once
// Heights and labels as formulas, for tests of what is made of the ink of one patch: W is 6 px and T is 1.

#include <cmath>
#include <set>

#include "base/vec.h"
#include "shapes/flood_cells.h"
#include "shapes/height_map.h"

namespace batten::testing {

constexpr double landscape_band_px = 6;

template <class Height>
HeightMap heights_of(int width, int height, const Height& height_at) {
  HeightMap map;
  map.height = Plane<float>(width, height);
  map.band_px = landscape_band_px, map.level = 1;
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) map.height.at(x, y) = float(height_at(x, y));
  return map;
}

template <class Label>
Cells cells_of(int width, int height, int count, const Label& label_at) {
  Cells cells{Plane<std::int32_t>(width, height), count};
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) cells.labels.at(x, y) = label_at(x, y);
  return cells;
}

inline bool within(int x, int y, PixelBox box) {
  return x >= box.x && x < box.right() && y >= box.y && y < box.bottom();
}

inline std::size_t number_of_labels(const Cells& cells) {
  return std::set<std::int32_t>(cells.labels.values.begin(), cells.labels.values.end()).size();
}

}  // namespace batten::testing
