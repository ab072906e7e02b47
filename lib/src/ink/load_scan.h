#pragma once
// Stage: pixels of the caller -> planes of floats, size checked.

#include "base/plane.h"
#include "base/progress.h"
#include "batten/convert.h"

namespace batten {

/// Values are linear in the caller's samples: 0 black .. 1 white.
struct Scan {
  Plane<float> grey;  ///< luma, ITU-R BT.601 weights (those of JPEG, so that a grey JPEG and its colour copy agree)
  Plane<float> brightest;  ///< the largest of the three samples: coloured lines vanish in it. Empty for grey pictures
};

/// Transparent pixels are laid over white. Errors: bad_pixels (no pixels, an impossible size or stride, an unknown
/// format), cancelled.
Result<Scan> load_scan(const ImageView& image, const Progress& progress, int threads = 1);

}  // namespace batten
