#pragma once
// What JPEG compression leaves of a grey picture, by libjpeg.

#include "support/field.h"

namespace batten::support {

/// The picture encoded with the given quality (1..100) and decoded again. A failure of libjpeg ends the program.
GrayImage through_jpeg(const GrayImage& image, int quality);

}  // namespace batten::support
