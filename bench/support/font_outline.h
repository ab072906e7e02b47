#pragma once
// The outlines of open fonts: drawn by type designers with few, well-placed nodes, so their own count is a fair bar.
// Debian packages: fonts-goudybookletter (public domain), fonts-texgyre (GUST Font License), fonts-cantarell (OFL),
// fonts-ebgaramond (OFL).

#include <string>
#include <vector>

#include "batten/geometry.h"
#include "support/random.h"

namespace batten::support {

/// Full path of an installed font file ("GoudyBookletter1911.otf"); empty if its package is not installed.
std::string font_file(const std::string& name);

/// Outlines of one character: cubics as the designer drew them, zero-length segments dropped, outer clockwise on screen
/// and counters the other way, parents set, level with the top left corner of their box at (margin, margin) and
/// `height_px` high. Empty if the font has no such character or its curves are quadratic.
std::vector<Outline> glyph(const std::string& file, char32_t character, double height_px, double margin_px);

/// The same on a baseline: origin at (x, y), `em_px` per em; `advance_px` is where the next character starts.
std::vector<Outline> glyph_on_line(const std::string& file, char32_t character, double em_px, Point origin,
                                   double* advance_px);

struct Extent {
  int width, height;
};
/// Size of a picture that holds the outlines with a margin on the right and below.
Extent extent_of(const std::vector<Outline>& outlines, double margin_px);

/// Sets parents by containment and turns each outline the right way round.
void nest(std::vector<Outline>& outlines);

}  // namespace batten::support
