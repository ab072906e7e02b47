#pragma once
// Gives the characters that names of glyphs stand for, and the names of characters, by the Adobe Glyph List
// Specification (https://github.com/adobe-type-tools/agl-specification).

#include <optional>
#include <string>
#include <string_view>

namespace batten {

/// "A" -> U+0041, "ampersand" -> U+0026, "uni1E9E" and "u1F600" by their digits. Names with a suffix ("a.alt") and
/// names of one's own stand for no character.
std::optional<char32_t> character_of(std::string_view glyph_name);

/// What somebody typed for a glyph as its name: one character ("&", UTF-8) becomes its name in the list ("ampersand"),
/// or uniXXXX where the list has none; anything longer is a name already. `text` is well-formed UTF-8.
std::string glyph_name_of(std::string_view text);

}  // namespace batten
