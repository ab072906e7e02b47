#pragma once
// Writes a grey PNG with its resolution (pHYs chunk), by libpng.

#include <string>

#include "support/field.h"

namespace batten::support {

/// PNG bytes; dpi > 0 is written as pixels per metre. Empty if the encoder failed.
std::string png_bytes(const GrayImage& image, double dpi);

}  // namespace batten::support
