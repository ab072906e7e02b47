#pragma once
// What stands where a mask leaves nothing to read: paper as bright as around it.

#include <stop_token>

#include "base/plane.h"
#include "ink/read_row.h"

namespace batten {

/// How bright the ground is in each cell of the picture, and how large a cell is.
struct GroundColours {
  Plane<float> red, green, blue;
  int cell_px = 1;
};

/// From the pixels that are read: of each cell their upper quartile, so that lines do not count; cells of which hardly
/// any pixel is read take it from their neighbours. White where nothing is read at all. Cut short when asked to stop.
GroundColours ground_around_mask(const ImageView& image, const Layout& layout, const std::stop_token& stop);

/// Puts the ground in place of the masked pixels of row `y`.
void cover_masked(const ImageView& image, const GroundColours& ground, int y, Row* row);

/// A row of the mask.
inline const std::uint8_t* mask_row(const ImageView& image, int y) { return image.mask + image.mask_stride_bytes * y; }

}  // namespace batten
