#pragma once
// Turns a stored picture the way its orientation tag asks for.

#include "batten/files.h"

namespace batten {

/// orientation 1..8 as in TIFF 6.0, tag 274 (EXIF takes it over): where row 0 and column 0 of the stored picture lie on
/// the upright one. 1 and values out of range: returned as it is.
Picture apply_orientation(Picture picture, int orientation);

}  // namespace batten
