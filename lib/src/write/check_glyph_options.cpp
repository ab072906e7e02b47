// Checks GlyphOptions against their ranges.

#include <cmath>
#include <set>

#include "batten/glyphs.h"
#include "batten/write.h"
#include "write/glyph_names.h"

namespace batten {
namespace {

Error refused(const std::string& sentence, const std::string& place) {
  return {ErrorCode::bad_option, sentence, place};
}

std::optional<Error> check_names(const std::vector<std::string>& names) {
  std::set<std::string> seen;
  for (const std::string& text : names) {
    const bool printable = !text.empty() && clean_title(text) == text && text.find(' ') == std::string::npos;
    if (!printable || text.size() > 200)
      return refused("\"" + clean_title(text.substr(0, 40)) +
                         "\" is no name for a glyph: give 1 to 200 bytes of UTF-8 without spaces, such as ampersand.",
                     "names");
    const std::string name = glyph_name_of(text);
    if (!seen.insert(name).second)
      return refused("The name " + name + " is given twice: each glyph needs its own, such as a and a.alt.", "names");
  }
  return std::nullopt;
}

}  // namespace

std::optional<Error> check(const GlyphOptions& options) {
  if (options.units_per_em < 16 || options.units_per_em > 16384)
    return refused("Units per em must be between 16 and 16384: try 1000.", "units_per_em");
  if (!(options.em_px >= 0) || !std::isfinite(options.em_px))
    return refused("The height of the em must be a finite number over 0, or 0 to find it from the letters.", "em_px");
  if (!(std::fabs(options.side_bearing_em) <= 1))
    return refused("The side bearing must lie between -1 and 1 em: try 0.06.", "side_bearing_em");
  for (const double y : options.baselines_px)
    if (!std::isfinite(y)) return refused("A baseline must be a finite number of px.", "baselines_px");
  return check_names(options.names);
}

}  // namespace batten
