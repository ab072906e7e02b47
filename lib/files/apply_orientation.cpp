#include "apply_orientation.h"

#include <cstring>

#include "decoders.h"

namespace batten {
namespace {

// Stored place (row, column) of the upright picture's (x, y); the stored picture is width x height.
struct Mapping {
  bool swap_sides;      // rows become columns
  bool flip_x, flip_y;  // applied to the stored column and row
};

// TIFF 6.0, page 36: e.g. 6 = "the 0th row represents the right-hand side, the 0th column the top".
Mapping mapping_of(int orientation) {
  switch (orientation) {
    case 2:
      return {false, true, false};
    case 3:
      return {false, true, true};
    case 4:
      return {false, false, true};
    case 5:
      return {true, false, false};
    case 6:
      return {true, false, true};
    case 7:
      return {true, true, true};
    case 8:
      return {true, true, false};
    default:
      return {false, false, false};
  }
}

}  // namespace

Picture apply_orientation(Picture stored, int orientation) {
  if (orientation < 2 || orientation > 8) return stored;
  const Mapping map = mapping_of(orientation);
  const int width = map.swap_sides ? stored.height : stored.width;
  const int height = map.swap_sides ? stored.width : stored.height;
  Picture upright;
  allocate(upright, static_cast<std::uint64_t>(width), static_cast<std::uint64_t>(height), stored.format);
  upright.dpi = stored.dpi;
  const int size = bytes_per_pixel(stored.format);
  for (int y = 0; y < height; ++y) {
    std::uint8_t* out = upright.bytes.data() + y * upright.stride_bytes;
    for (int x = 0; x < width; ++x, out += size) {
      int column = map.swap_sides ? y : x, row = map.swap_sides ? x : y;
      if (map.flip_x) column = stored.width - 1 - column;
      if (map.flip_y) row = stored.height - 1 - row;
      std::memcpy(out, stored.bytes.data() + row * stored.stride_bytes + static_cast<std::ptrdiff_t>(column) * size,
                  static_cast<std::size_t>(size));
    }
  }
  return upright;
}

}  // namespace batten
