#include "support/svg_reader.h"

#include <gtest/gtest.h>

#include <regex>
#include <sstream>

namespace batten::testing {
namespace {

std::string attribute(const std::string& element, const std::string& name) {
  std::smatch match;
  return std::regex_search(element, match, std::regex("\\s" + name + "=\"([^\"]*)\"")) ? match[1].str() : "";
}

void read_data(SvgPath& path) {
  std::istringstream in(path.data);
  Point at, start;
  const auto point = [&] {
    Point p;
    in >> p.x >> p.y;
    return p;
  };
  const auto line_to = [&](Point to) {
    path.contours.back().push_back({at, at, to, to});
    at = to;
  };
  for (char command; in >> command;) {
    path.commands += command;
    if (command == 'M') {
      at = start = point();
      path.contours.emplace_back();
    } else if (command == 'C') {
      const Point a = point(), b = point(), to = point();
      path.contours.back().push_back({at, a, b, to});
      at = to;
    } else if (command == 'L') {
      line_to(point());
    } else if (command == 'H' || command == 'V') {
      Point to = at;
      in >> (command == 'H' ? to.x : to.y);
      line_to(to);
    } else if (command == 'Z') {
      if (!(at == start)) line_to(start);
    } else {
      ADD_FAILURE() << "path command " << command << " in " << path.data;
      return;
    }
    if (in.fail()) {
      ADD_FAILURE() << "a number is missing in " << path.data;
      return;
    }
  }
}

}  // namespace

Svg read_svg(const std::string& text) {
  Svg svg;
  const std::regex element("<(svg|path)\\s[^>]*>");
  for (auto it = std::sregex_iterator(text.begin(), text.end(), element); it != std::sregex_iterator(); ++it) {
    const std::string found = it->str();
    if ((*it)[1] == "svg") {
      svg.width = attribute(found, "width");
      svg.height = attribute(found, "height");
      svg.view_box = attribute(found, "viewBox");
    } else {
      svg.paths.push_back({attribute(found, "id"), attribute(found, "d"), "", {}});
      read_data(svg.paths.back());
    }
  }
  return svg;
}

}  // namespace batten::testing
