#pragma once
// Turns a stored picture the way its orientation tag asks for.

#include "batten/files.h"

namespace batten {

/// orientation: 1..8 as in TIFF 6.0, tag 274, and in EXIF: where row 0 and column 0 of the stored picture lie when it
/// is the right way up. For 1 and values out of range the picture is returned unchanged.
Picture apply_orientation(Picture picture, int orientation);

}  // namespace batten
