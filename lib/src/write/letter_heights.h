#pragma once
// How tall the letters of a font are, and how wide its word space is, as far as the drawn letters tell.

#include <string>
#include <vector>

namespace batten {

/// A letter as it was drawn.
struct DrawnLetter {
  std::string name;       ///< of its glyph; "" where none was given
  double height_px = 0;   ///< above the baseline, without its marks
  double advance_px = 0;  ///< width of the room that it is set in
};

/// 0: the letters do not tell.
struct LetterHeights {
  double x_height_px = 0, cap_height_px = 0, space_px = 0;
};

/// Where letters have names: of the letters that end flat at the height (x z v w, H E I ...) the middle one; where
/// there are none, of those whose arches pass it a little; last of round ones. The space is as wide as an i, or half an
/// n. Where none has a name: only heights that fall clearly into two groups tell, and no space.
LetterHeights letter_heights(const std::vector<DrawnLetter>& letters);

}  // namespace batten
