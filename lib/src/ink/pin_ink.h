#pragma once
// Stage: what was decided about ink and paper, put into the ink.

#include "batten/pins.h"
#include "ink/separate_ink.h"

namespace batten {

/// The pixels of a sheet whose centres lie in a polygon.
struct RegionMask {
  PixelBox box;                ///< of the sheet; empty where the polygon lies beside it
  Plane<std::uint8_t> inside;  ///< of the box: not 0 inside
};
/// `polygon` on the page.
RegionMask mask_of(const std::vector<Point>& polygon, int width, int height);

/// Calls at(x, y) for each pixel of the sheet that lies inside.
template <class At>
void for_each_inside(const RegionMask& mask, At&& at) {
  for (int y = 0; y < mask.box.height; ++y)
    for (int x = 0; x < mask.box.width; ++x)
      if (mask.inside.at(x, y)) at(mask.box.x + x, mask.box.y + y);
}

/// The ink with the pins about it met, in their order: none where Pin::Kind::ignore or paper says so, as dark as the
/// sheet's own where ink says so, a stroke as wide and dark as the line where a gap is to be closed, and a cut two
/// pixels wide where something is to be kept apart. Elsewhere it is what it was. Error: cancelled.
Result<Ink> pin_ink(const Ink& ink, const std::vector<Pin>& pins, const Progress& progress);

/// Half the width of a cut.
inline constexpr double half_cut_px = 1;

/// Ink that hatching was taken out of, with what lies in regions that were shaded, as pins say, as it was `before`.
Ink keep_shading(const Ink& bare, const Plane<float>& before, const std::vector<Pin>& pins);

}  // namespace batten
