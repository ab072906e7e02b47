#pragma once
// The smoothed ink of one patch as a landscape, lines as crests.

#include <stop_token>

#include "shapes/find_patches.h"

namespace batten {

/// A reduced copy of the smoothed ink of one patch, with a rim of bare paper so that outside is one cell. Bands of 12
/// px and more are looked at on a copy where they are 6 px wide.
struct HeightMap {
  Plane<float> height;
  PixelBox box;        ///< on the sheet
  int reduce = 1;      ///< sheet pixels a side of a pixel of the copy
  double band_px = 0;  ///< W, in pixels of the copy
  double level = 0;    ///< T: height of the crest of a line; 0 where there is no ink
  static constexpr int rim = 2;
  Point to_sheet(Point p) const {
    return {box.x + (p.x - rim + 0.5) * reduce - 0.5, box.y + (p.y - rim + 0.5) * reduce - 0.5};
  }
};

/// smoothing: standard deviation in W. Without a level when asked to stop.
HeightMap height_map_of(const Ink& ink, const Patches& patches, const Patch& patch, double smoothing,
                        const std::stop_token& stop = {});

}  // namespace batten
