#pragma once
// Reads the paths of an SVG as written by to_svg(): a small reader of its own, so that the writer is not its own judge.

#include <string>
#include <vector>

#include "batten/geometry.h"

namespace batten::testing {

struct SvgPath {
  std::string id, data, commands;            ///< commands: "MCCHZ"
  std::vector<std::vector<Cubic>> contours;  ///< straights as cubics with retracted handles
};

struct Svg {
  std::string width, height, view_box;
  std::vector<SvgPath> paths;
};

/// Understands M C L H V Z with absolute coordinates; adds a test failure for anything else.
Svg read_svg(const std::string& text);

}  // namespace batten::testing
