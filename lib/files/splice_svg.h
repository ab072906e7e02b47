#pragma once
// Puts new outlines into the text of an SVG file, of which everything else stays byte for byte.

#include <string>
#include <vector>

#include "svg_paths.h"

namespace batten {

/// So many bytes are replaced.
struct TextEdit {
  std::size_t at = 0, length = 0;
  std::string text;
};
/// The edits must not overlap.
std::string spliced(const std::string& bytes, std::vector<TextEdit> edits);

/// What a path's new outline is: of each part of its data, or none where that stays as it is.
struct NewParts {
  std::vector<std::optional<Outline>> outlines;  ///< for each of SvgPath::parts, in the element's own coordinates
  int decimals = 3;                              ///< of coordinates that are not old ones
};

/// The edits that give the element its new outline: its `d` or its `points`; a polyline that got curves becomes a path.
/// Empty where the text cannot be changed.
std::vector<TextEdit> edits_of(const std::string& bytes, const SvgPath& path, const NewParts& parts, bool may_rename);

/// Path data: the new parts, and the old ones as they were written.
std::string path_data(const SvgPath& path, const NewParts& parts);

}  // namespace batten
