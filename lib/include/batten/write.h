#pragma once
/// \file
/// Drawing -> text of a file.

#include <string>

#include "batten/export.h"
#include "batten/geometry.h"

namespace batten {

/// SVG 1.1 (https://www.w3.org/TR/SVG11/). User unit = scan pixel; width and height in mm where drawing.dpi is known;
/// one compound <path> per shape with its counters, in reading order, with an id; commands M, C, L, H, V, Z only.
BATTEN_EXPORT std::string to_svg(const Drawing& drawing);

}  // namespace batten
