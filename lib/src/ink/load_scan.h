#pragma once
// Stage: pixels of the caller -> planes of floats, size checked.

#include "base/plane.h"
#include "base/progress.h"
#include "batten/convert.h"

namespace batten {

/// The picture reduced by a whole number to a longer side of about 400 px: what is as broad as a table or a shadow
/// shows in it. All three planes are alike for grey pictures.
struct ColourCopy {
  Plane<float> red, green, blue;
};

/// By how much a picture is reduced for such a copy: 1 up to 600 px. A copy has width / reduction columns, at least 1.
int copy_reduction(int width, int height);

/// Values are linear in the caller's samples: 0 black .. 1 white.
struct Scan {
  Plane<float> grey;  ///< luma, ITU-R BT.601 weights (those of JPEG, so that a grey JPEG and its colour copy agree)
  Plane<float> brightest;  ///< the largest of the three samples: coloured lines vanish in it. Empty for grey pictures
  ColourCopy copy;
  Plane<std::uint8_t> unread;  ///< 1 where the caller's mask leaves nothing to read: paper. Empty where all is read
};

/// Transparent pixels are laid over white; masked pixels are as bright as the ground around them. Errors: bad_pixels
/// (no pixels, an impossible size or stride, an unknown format), cancelled. reduction: one pixel of the scan is the
/// mean of so many by so many, of fewer at the right and the lower edge; the whole picture is never there in floats
/// then.
Result<Scan> load_scan(const ImageView& image, const Progress& progress, int threads = 1, int reduction = 1);

}  // namespace batten
