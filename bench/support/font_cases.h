#pragma once
// Which open fonts and characters stand in for "a professional's outlines".

#include <string>
#include <vector>

namespace batten::support {

struct FontCase {
  std::string font;  ///< file name
  char32_t character;
};

/// Eight fonts (roman, italic, script, grotesque, geometric) times the characters given.
std::vector<FontCase> font_cases(const std::u32string& characters);

/// "GoudyBookletter1911 a"
std::string text_of(const FontCase& c);

}  // namespace batten::support
