#pragma once
// The demo: a lettering artist's sheet for Quombe, a tea shop that does not exist.

#include <string>
#include <vector>

#include "batten/geometry.h"
#include "support/field.h"

namespace batten::support {

struct Demo {
  GrayImage image;
  Drawing truth;  ///< what the pencil aimed at
  double dpi = 300;
};

/// The word in searching strokes between ruled guides, two tea leaves shaded in below. Letters from Goudy Bookletter
/// 1911 (public domain; Debian package fonts-goudybookletter), leaves our own. No outlines if the font is not
/// installed.
Demo demo_sheet();

}  // namespace batten::support
