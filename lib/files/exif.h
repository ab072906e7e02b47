#pragma once
// Reads orientation and resolution from an EXIF block by libexif (LGPL-2.1).

#include "decoders.h"

namespace batten {

struct ExifFacts {
  int orientation = 1;  ///< 1..8
  double dpi = 0;       ///< 0 where unknown
};

/// `block` may begin with "Exif\0\0" or without it. A block that makes no sense gives the defaults.
ExifFacts read_exif(Bytes block);

}  // namespace batten
