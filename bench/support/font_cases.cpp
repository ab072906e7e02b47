#include "support/font_cases.h"

namespace batten::support {

std::vector<FontCase> font_cases(const std::u32string& characters) {
  std::vector<FontCase> cases;
  for (const char* font : {"GoudyBookletter1911.otf", "texgyrepagella-italic.otf", "texgyreheros-bold.otf",
                           "texgyrebonum-bold.otf", "texgyrechorus-mediumitalic.otf", "texgyreadventor-bold.otf",
                           "EBGaramond12-Italic.otf", "Cantarell-ExtraBold.otf"})
    for (const char32_t character : characters) cases.push_back({font, character});
  return cases;
}

std::string text_of(const FontCase& c) { return c.font.substr(0, c.font.find('.')) + " " + char(c.character); }

}  // namespace batten::support
