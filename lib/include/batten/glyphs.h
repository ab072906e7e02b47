#pragma once
/// \file
/// A sheet of letters as the glyphs of a font: which shapes make one letter, where it stands, how wide it is set.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "batten/error.h"
#include "batten/export.h"
#include "batten/geometry.h"

namespace batten {

/// How a sheet of letters becomes glyphs.
struct GlyphOptions {
  /// Names in reading order, one for each glyph: "A", "ampersand", "a.alt", or the character itself ("&", UTF-8).
  /// DEFAULT: empty, which names them "shape-1", "shape-2" ...
  std::vector<std::string> names;
  /// Units of the font to the em, 16..16384 (the range of OpenType's head table). DEFAULT: 1000.
  int units_per_em = 1000;
  /// Height of the em on the sheet, px, > 0, within a hundred times the letters' size either way. DEFAULT: 0, which
  /// makes the tallest letter without its accents 0.7 em tall above the baseline, or 0.48 em where the names say that
  /// all letters are of x-height.
  double em_px = 0;
  /// y of the baseline of each row of letters, px, on the sheet, from the top row down. DEFAULT: empty: the ruled line
  /// that most letters of the row stand on, otherwise the level that most of them share.
  std::vector<double> baselines_px;
  /// Room to the left and to the right of each glyph, em, -1..1. DEFAULT: 0.06.
  double side_bearing_em = 0.06;
};

/// Names the field and what it accepts if one is out of range, or a name is given twice or is not printable.
BATTEN_EXPORT std::optional<Error> check(const GlyphOptions& options);

/// One letter of the sheet.
struct Glyph {
  std::string name;                   ///< unique on its sheet
  char32_t character = 0;             ///< Unicode code point that the name stands for; 0: none
  std::vector<std::size_t> outlines;  ///< indices into Drawing::outlines: the letter's, its counters', its dots'
  Point origin;                       ///< px: where the baseline meets the left edge of the room the glyph is set in
  double advance_px = 0;              ///< width of that room, px, whole units
};

/// All letters of a sheet in reading order, at one scale.
struct GlyphSheet {
  int units_per_em = 1000;    ///< as asked
  double units_per_px = 1;    ///< scale of all glyphs
  std::vector<Glyph> glyphs;  ///< in reading order
  /// px above the baseline; 0: the letters do not tell. By the names of the glyphs (x, z ... before rounds that
  /// overshoot; H, E ...), or where none were given, from heights that fall clearly into two groups.
  double x_height_px = 0;
  double cap_height_px = 0;  ///< the same of capitals, or without names of whatever is tall
  double space_px = 0;       ///< width of a word space, whole units: as wide as an i, or half an n; 0: none tells
};

/// Groups the shapes of a sheet into glyphs: dots, accents and other pieces over or under a letter join it, islands
/// join the shape round them. Errors: bad_option (a value out of range, a name twice or not printable, more or fewer
/// baselines than rows), names_mismatch (more or fewer names than glyphs), no_ink_found (a drawing without shapes).
///
/// \snippet glyphs.cpp glyphs
BATTEN_EXPORT Result<GlyphSheet> arrange_glyphs(const Drawing& drawing, const GlyphOptions& options = {});

}  // namespace batten
