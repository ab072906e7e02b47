#pragma once
// Gives the files that hold glyphs their names.

#include <string>
#include <vector>

namespace batten {

/// "A" -> "A_.glif", "con" -> "_con.glif": the common user name to file name algorithm of UFO 3
/// (https://unifiedfontobject.org/versions/ufo3/conventions/), so that no two differ in upper and lower case only. One
/// for each name, in their order; the names are different from each other.
std::vector<std::string> glyph_file_names(const std::vector<std::string>& glyph_names);

}  // namespace batten
