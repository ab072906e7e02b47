#pragma once
// What the reduced copy of a picture shows of its paper: brightness and colour without lines, areas without steps.

#include <cstdint>
#include <vector>

#include "ink/load_scan.h"

namespace batten {

struct Look {
  Plane<float> level;              ///< brightness, lines closed away
  Plane<float> redness, blueness;  ///< what red and blue have over grey, as a share of it
  Plane<std::uint8_t> even;        ///< 1 where neither brightness nor colour steps
};
Look look_at(const ColourCopy& copy);

/// Distance of two colours (each sample less grey, over grey). Measured: 0.02 to 0.07 between places of one sheet in
/// warm and cold light, 0.24 to 0.48 from sheets to wooden tables.
inline constexpr float other_colour = 0.1f;

/// Connected areas (by sides) of what is marked; label 0 is all the rest.
struct Parts {
  Plane<std::int32_t> labels;
  std::vector<int> areas;       // px2 of the copy, by label
  std::vector<PixelBox> boxes;  // by label
  int count() const { return int(areas.size()); }
  /// 255 where the part is.
  Plane<std::uint8_t> mask(int label) const;
};
Parts parts_of(const Plane<std::uint8_t>& marked);

/// The largest part if it covers three tenths of the picture: the bright paper of the sheet. 0 if there is none.
int largest_part(const Parts& parts);

float median_where(const Plane<float>& values, const Plane<std::uint8_t>& where);

}  // namespace batten
