#pragma once
// Finds the paths of an SVG file whose text may be changed, and where they are seen.

#include <string>
#include <vector>

#include "path_grammar.h"
#include "svg_walk.h"

namespace batten {

/// A path, polyline or polygon element.
struct SvgPath {
  pugi::xml_node node;
  std::string name;               ///< path, polyline or polygon
  std::string data;               ///< path data in its own coordinates; of the others made from their points
  std::vector<Outline> outlines;  ///< in its own coordinates
  std::vector<PathPart> parts;    ///< of the data
  Transform placed;               ///< to the page, where it is largest
  double strictness = 1;          ///< how many times larger it is elsewhere in some direction
  bool is_used_again = false;     ///< it is painted in more places than one
  std::string left_because;       ///< why it must not be changed; empty: it may
};

struct SvgPaths {
  std::vector<SvgPath> paths;   ///< each once, in the order in which they are first painted
  std::size_t not_painted = 0;  ///< in clips, masks, patterns and markers, hidden or never used
  bool has_script = false;
  std::string style;  ///< all style sheets in the file
  bool sound = true;  ///< false where something is not SVG 1.1
};

SvgPaths find_svg_paths(const pugi::xml_document& document, const SvgPage& page);

/// The largest factor by which a transform lengthens a vector.
double stretch_of(const Transform& t);
/// Empty where it has none, or nearly so.
std::optional<Transform> inverse(const Transform& t);

}  // namespace batten
