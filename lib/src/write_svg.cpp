// Drawing -> SVG 1.1 (https://www.w3.org/TR/SVG11/paths.html). Coordinates are rounded to whole thousandths first and
// everything else (H and V, equality of shared coordinates) is decided on those whole numbers, so that the file is
// consistent with itself.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "batten/write.h"
#include "reading_order.h"

namespace batten {
namespace {

// Thousandths of a pixel: the error of 0.0005 px is far below any scan's, and turns a handle of one pixel by at most
// 0.06 degrees, so that smooth nodes stay smooth in the file.
constexpr int decimals = 3;
constexpr std::int64_t units_per_px = 1000;
// Beyond this a coordinate is no place on any scan; the bound keeps the whole numbers exact.
constexpr double largest_px = 1e9;

struct Place {
  std::int64_t x, y;  // thousandths of a pixel
  bool operator==(const Place&) const = default;
};

Place rounded(Point p) { return {std::llround(p.x * units_per_px), std::llround(p.y * units_per_px)}; }

// 12.5, 0.031, -7: no trailing zeros, never "-0".
std::string number(std::int64_t units, int digits = decimals) {
  std::int64_t scale = 1;
  for (int i = 0; i < digits; ++i) scale *= 10;
  const std::uint64_t magnitude = units < 0 ? -static_cast<std::uint64_t>(units) : static_cast<std::uint64_t>(units);
  std::string text = (units < 0 ? "-" : "") + std::to_string(magnitude / scale);
  std::string fraction = std::to_string(magnitude % scale);
  fraction.insert(0, digits - fraction.size(), '0');
  fraction.erase(fraction.find_last_not_of('0') + 1);
  return fraction.empty() ? text : text + "." + fraction;
}

std::string number(double value) { return number(static_cast<std::int64_t>(std::llround(value * units_per_px))); }
std::string pair(Place p) { return number(p.x) + " " + number(p.y); }

bool writable(Point p) { return std::fabs(p.x) <= largest_px && std::fabs(p.y) <= largest_px; }  // false for nan

bool writable(const Outline& outline) {
  return outline.segment_count() > 0 && std::all_of(outline.nodes.begin(), outline.nodes.end(), [](const Node& n) {
           return writable(n.handle_in) && writable(n.at) && writable(n.handle_out);
         });
}

std::string straight_to(Place from, Place to) {
  if (from.y == to.y) return " H " + number(to.x);
  if (from.x == to.x) return " V " + number(to.y);
  return " L " + pair(to);
}

// Z draws the last straight of a closed outline itself.
std::string path_data(const Outline& outline) {
  Place at = rounded(outline.nodes.front().at);
  std::string data = "M " + pair(at);
  const std::size_t count = outline.segment_count();
  for (std::size_t i = 0; i < count; ++i) {
    const Cubic cubic = outline.segment(i);
    const Place to = rounded(cubic[3]);
    if (!outline.is_straight(i)) {
      data += " C " + pair(rounded(cubic[1])) + " " + pair(rounded(cubic[2])) + " " + pair(to);
    } else if (!(outline.closed && i + 1 == count)) {
      data += straight_to(at, to);
    }
    at = to;
  }
  return outline.closed ? data + " Z" : data;
}

// The outline that starts the shape `index` belongs to: itself, or for a counter the outline round it. An island within
// a counter starts a shape of its own.
std::size_t shape_of(const std::vector<Outline>& outlines, std::size_t index) {
  const auto parent_of = [&](std::size_t i) {
    const int parent = outlines[i].parent;
    return parent >= 0 && parent < static_cast<int>(outlines.size()) ? parent : -1;
  };
  std::size_t depth = 0;
  for (int p = parent_of(index); p >= 0 && depth <= outlines.size(); p = parent_of(p)) ++depth;
  const bool counter = depth % 2 == 1 && depth <= outlines.size();  // deeper: a ring of parents, each on its own
  return counter ? static_cast<std::size_t>(parent_of(index)) : index;
}

std::string shape_element(const Drawing& drawing, const std::vector<std::size_t>& members,
                          std::size_t number_in_order) {
  const Outline& outer = drawing.outlines[members.front()];
  std::string data;
  for (const std::size_t i : members) data += (data.empty() ? "" : " ") + path_data(drawing.outlines[i]);
  std::string paint = "fill=\"black\" fill-rule=\"nonzero\"";
  if (!outer.closed) {
    paint = "fill=\"none\" stroke=\"black\" stroke-width=\"" + number(outer.band_px > 0 ? outer.band_px : 1.0) + "\"";
  }
  return "  <path id=\"shape-" + std::to_string(number_in_order) + "\" " + paint + " d=\"" + data + "\"/>\n";
}

std::string opening(const Drawing& drawing) {
  const auto length = [&](double px) {
    constexpr double mm_per_inch = 25.4;
    return drawing.dpi > 0 ? number(px / drawing.dpi * mm_per_inch) + "mm" : number(px);
  };
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"" + length(drawing.width_px) +
         "\" height=\"" + length(drawing.height_px) + "\" viewBox=\"0 0 " + number(drawing.width_px) + " " +
         number(drawing.height_px) + "\">\n";
}

}  // namespace

std::string to_svg(const Drawing& drawing) {
  std::vector<std::vector<std::size_t>> members(drawing.outlines.size());
  for (std::size_t i = 0; i < drawing.outlines.size(); ++i) {
    if (!writable(drawing.outlines[i])) continue;
    const std::size_t shape = shape_of(drawing.outlines, i);
    members[shape].insert(shape == i ? members[shape].begin() : members[shape].end(), i);
  }
  std::erase_if(members, [](const auto& shape) { return shape.empty(); });

  std::vector<Box> boxes;
  for (const auto& shape : members) boxes.push_back(bounding_box(drawing.outlines[shape.front()]));
  std::string svg = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + opening(drawing);
  std::size_t count = 0;
  for (const std::size_t i : reading_order(boxes)) svg += shape_element(drawing, members[i], ++count);
  return svg + "</svg>\n";
}

}  // namespace batten
