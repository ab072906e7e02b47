// Writes a Drawing as SVG 1.1 (https://www.w3.org/TR/SVG11/paths.html). Coordinates are rounded to whole thousandths
// first and everything else (H and V, equality of shared coordinates) is decided on those whole numbers, so that the
// file is consistent with itself.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "batten/write.h"

namespace batten {
namespace {

// Thousandths of a pixel: the error of 0.0005 px is far below any scan's, and turns a handle of one pixel by at most
// 0.06 degrees, so that smooth nodes stay smooth in the file.
constexpr std::size_t decimals = 3;
constexpr std::int64_t units_per_px = 1000;

struct FilePoint {
  std::int64_t x, y;  // thousandths of a pixel
};

FilePoint rounded(Point p) { return {std::llround(p.x * units_per_px), std::llround(p.y * units_per_px)}; }

// 12.5, 0.031, -7: no trailing zeros, never "-0".
std::string number(std::int64_t units) {
  const std::uint64_t magnitude = units < 0 ? -static_cast<std::uint64_t>(units) : static_cast<std::uint64_t>(units);
  std::string text = (units < 0 ? "-" : "") + std::to_string(magnitude / units_per_px);
  std::string fraction = std::to_string(magnitude % units_per_px);
  fraction.insert(0, decimals - fraction.size(), '0');
  fraction.erase(fraction.find_last_not_of('0') + 1);
  return fraction.empty() ? text : text + "." + fraction;
}

std::string number(double value) { return number(static_cast<std::int64_t>(std::llround(value * units_per_px))); }
std::string pair(FilePoint p) { return number(p.x) + " " + number(p.y); }

std::string straight_to(FilePoint from, FilePoint to) {
  if (from.y == to.y) return " H " + number(to.x);
  if (from.x == to.x) return " V " + number(to.y);
  return " L " + pair(to);
}

// Z draws the last straight of a closed outline itself.
std::string path_data(const Outline& outline) {
  FilePoint at = rounded(outline.nodes.front().at);
  std::string data = "M " + pair(at);
  const std::size_t count = outline.segment_count();
  for (std::size_t i = 0; i < count; ++i) {
    const Cubic cubic = outline.segment(i);
    const FilePoint to = rounded(cubic[3]);
    if (!outline.is_straight(i)) {
      data += " C " + pair(rounded(cubic[1])) + " " + pair(rounded(cubic[2])) + " " + pair(to);
    } else if (!(outline.closed && i + 1 == count)) {
      data += straight_to(at, to);
    }
    at = to;
  }
  return outline.closed ? data + " Z" : data;
}

std::string shape_element(const Drawing& drawing, const std::vector<std::size_t>& members, std::size_t number_in_order,
                          const std::string& indent) {
  std::string data;
  for (const std::size_t i : members) data += (data.empty() ? "" : " ") + path_data(drawing.outlines[i]);
  return indent + "<path id=\"shape-" + std::to_string(number_in_order) +
         "\" fill=\"black\" fill-rule=\"nonzero\" d=\"" + data + "\"/>\n";
}

// A line is as wide as the pencil was; without a band, as of a polyline, one unit.
std::string line_element(const Outline& line, std::size_t number_in_order) {
  return "    <path id=\"line-" + std::to_string(number_in_order) + "\" stroke-width=\"" +
         number(line.band_px > 0 ? line.band_px : 1.0) + "\" d=\"" + path_data(line) + "\"/>\n";
}

// Areas first, so that lines lie over them. A drawing of areas alone needs no groups.
std::string shapes_and_lines(const Drawing& drawing) {
  std::string areas, lines;
  std::size_t area_count = 0, line_count = 0;
  const std::vector<std::vector<std::size_t>> all = shapes(drawing);
  const bool grouped =
      std::any_of(all.begin(), all.end(), [&](const auto& shape) { return drawing.outlines[shape.front()].is_line(); });
  for (const std::vector<std::size_t>& shape : all) {
    const Outline& outer = drawing.outlines[shape.front()];
    if (outer.is_line())
      lines += line_element(outer, ++line_count);
    else
      areas += shape_element(drawing, shape, ++area_count, grouped ? "    " : "  ");
  }
  if (!grouped) return areas;
  if (!areas.empty()) areas = "  <g id=\"areas\">\n" + areas + "  </g>\n";
  return areas +
         "  <g id=\"lines\" fill=\"none\" stroke=\"black\" stroke-linecap=\"round\" stroke-linejoin=\"round\">\n" +
         lines + "  </g>\n";
}

// Dots without a stroke, so that the picture stays a picture of areas. Their size follows the sheet's.
std::string node_dots(const Drawing& drawing) {
  const double radius_px = std::max(1.0, std::max(drawing.width_px, drawing.height_px) / 400);
  std::string dots = "  <g id=\"nodes\" fill=\"#cc381a\">\n";
  for (const std::vector<std::size_t>& shape : shapes(drawing))
    for (const std::size_t i : shape)
      for (const Node& node : drawing.outlines[i].nodes) {
        const FilePoint at = rounded(node.at);
        dots += "    <circle cx=\"" + number(at.x) + "\" cy=\"" + number(at.y) + "\" r=\"" + number(radius_px) +
                "\"><title>" + name_of(node.reason) + "</title></circle>\n";
      }
  return dots + "  </g>\n";
}

std::string escaped(const std::string& text) {
  std::string safe;
  for (const char c : text)
    c == '&' ? safe += "&amp;" : c == '<' ? safe += "&lt;" : c == '>' ? safe += "&gt;" : safe += c;
  return safe;
}

std::string opening(const Drawing& drawing) {
  const auto length = [&](double px) {
    constexpr double mm_per_inch = 25.4;
    return drawing.dpi > 0 ? number(px / drawing.dpi * mm_per_inch) + "mm" : number(px);
  };
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"" + length(drawing.width_px) +
         "\" height=\"" + length(drawing.height_px) + "\" viewBox=\"" + pair(rounded(drawing.origin)) + " " +
         number(drawing.width_px) + " " + number(drawing.height_px) + "\">\n";
}

}  // namespace

std::string to_svg(const Drawing& drawing, const SvgOptions& options) {
  std::string svg = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + opening(drawing);
  if (!options.title.empty()) svg += "  <title>" + escaped(clean_title(options.title)) + "</title>\n";
  svg += shapes_and_lines(drawing);
  if (options.nodes) svg += node_dots(drawing);
  return svg + "</svg>\n";
}

}  // namespace batten
