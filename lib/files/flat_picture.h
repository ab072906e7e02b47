#pragma once
// Gives a picture as 8-bit colours over white, which painting and pages need.

#include <cstdint>
#include <vector>

#include "batten/files.h"

namespace batten {

/// Three bytes a pixel, no padding; 16 bits rounded to 8, alpha laid over white.
struct FlatPicture {
  int width = 0, height = 0;
  std::vector<std::uint8_t> rgb;
};

FlatPicture flattened(const Picture& picture);

/// The picture averaged over squares of pixels until it has at most `most_pixels`; unchanged if it has no more.
FlatPicture reduced(FlatPicture picture, double most_pixels);

}  // namespace batten
