// Writes glyphs as the files of a Unified Font Object, version 3, with GLIF 2
// (https://unifiedfontobject.org/versions/ufo3/). y runs up; outer contours run counter-clockwise, as the Type 1 font
// format asks (Adobe Type 1 Font Format, 1990, section 4.5).

#include <algorithm>
#include <charconv>
#include <cmath>
#include <pugixml.hpp>
#include <sstream>

#include "batten/files.h"
#include "batten/measure.h"
#include "batten/version.h"
#include "batten/write.h"
#include "glyph_file_names.h"

namespace batten {
namespace {

// Rounds to thousandths of a unit, or to whole ones; never gives "-0".
std::string number(double value, bool whole) {
  const double rounded = whole ? std::round(value) : std::round(value * 1000) / 1000;
  if (!std::isfinite(rounded)) return "0";  // shapes() leaves such outlines out; a scale of nothing is the caller's
  char text[400];                           // the largest double has 309 digits before the point
  const auto end = std::to_chars(text, text + sizeof text, rounded + 0.0, std::chars_format::fixed).ptr;
  return {text, end};
}

std::string text_of(const pugi::xml_document& document) {
  std::ostringstream text;
  document.save(text, "  ", pugi::format_default, pugi::encoding_utf8);
  return text.str();
}

void declare_xml(pugi::xml_document& document) {
  pugi::xml_node declaration = document.append_child(pugi::node_declaration);
  declaration.append_attribute("version") = "1.0";
  declaration.append_attribute("encoding") = "UTF-8";
}

// A property list; returns its outermost element.
pugi::xml_node start_list(pugi::xml_document& document, const char* kind) {
  declare_xml(document);
  document.append_child(pugi::node_doctype)
      .set_value("plist PUBLIC \"-//Apple//DTD PLIST 1.0//EN\" \"http://www.apple.com/DTDs/PropertyList-1.0.dtd\"");
  pugi::xml_node list = document.append_child("plist");
  list.append_attribute("version") = "1.0";
  return list.append_child(kind);
}

void add(pugi::xml_node parent, const char* kind, const std::string& text) {
  parent.append_child(kind).text().set(text.c_str());
}

void add_pair(pugi::xml_node dict, const std::string& key, const char* kind, const std::string& value) {
  add(dict, "key", key);
  add(dict, kind, value);
}

// Maps px of the scan to units of the font.
struct Frame {
  Point origin;
  double units_per_px;
  bool whole;
  double x(Point p) const { return (p.x - origin.x) * units_per_px; }
  double y(Point p) const { return (origin.y - p.y) * units_per_px; }
};

void add_point(pugi::xml_node contour, const Frame& frame, Point at, const char* type, bool smooth) {
  pugi::xml_node point = contour.append_child("point");
  point.append_attribute("x") = number(frame.x(at), frame.whole).c_str();
  point.append_attribute("y") = number(frame.y(at), frame.whole).c_str();
  if (type) point.append_attribute("type") = type;
  if (smooth) point.append_attribute("smooth") = "yes";
}

Outline reversed(const Outline& outline) {
  Outline other = outline;
  std::reverse(other.nodes.begin() + (outline.closed ? 1 : 0), other.nodes.end());  // the first node stays the first
  for (Node& node : other.nodes) std::swap(node.handle_before, node.handle_after);
  return other;
}

// An on-curve point says how the contour arrives there; what arrives at the first point closes the contour.
void add_contour(pugi::xml_node outlines, const Frame& frame, const Outline& outline) {
  pugi::xml_node contour = outlines.append_child("contour");
  const std::size_t count = outline.segment_count();
  const auto arrival = [&](std::size_t segment) { return outline.is_straight(segment) ? "line" : "curve"; };
  const Node& first = outline.nodes.front();
  add_point(contour, frame, first.at, outline.closed ? arrival(count - 1) : "move", outline.closed && first.smooth);
  for (std::size_t i = 0; i < count; ++i) {
    const Cubic cubic = outline.segment(i);
    if (!outline.is_straight(i)) {
      add_point(contour, frame, cubic[1], nullptr, false);
      add_point(contour, frame, cubic[2], nullptr, false);
    }
    if (outline.closed && i + 1 == count) break;
    add_point(contour, frame, cubic[3], arrival(i), outline.nodes[i + 1].smooth);
  }
}

// How many outlines lie round this one.
std::size_t depth_of(const Drawing& drawing, std::size_t index) {
  std::size_t depth = 0;
  const auto count = static_cast<int>(drawing.outlines.size());
  for (int p = drawing.outlines[index].parent; p >= 0 && p < count && depth < drawing.outlines.size(); ++depth)
    p = drawing.outlines[static_cast<std::size_t>(p)].parent;
  return depth;
}

std::string glif(const Drawing& drawing, const GlyphSheet& sheet, const Glyph& glyph, bool whole) {
  pugi::xml_document document;
  declare_xml(document);
  pugi::xml_node root = document.append_child("glyph");
  root.append_attribute("name") = glyph.name.c_str();
  root.append_attribute("format") = "2";
  root.append_child("advance").append_attribute("width") = number(glyph.advance_px * sheet.units_per_px, whole).c_str();
  if (glyph.character) {
    char hex[16];
    std::snprintf(hex, sizeof hex, "%04X", static_cast<unsigned>(glyph.character));
    root.append_child("unicode").append_attribute("hex") = hex;
  }
  pugi::xml_node outlines = root.append_child("outline");
  const Frame frame{glyph.origin, sheet.units_per_px, whole};
  for (const std::size_t i : glyph.outlines) {
    if (i >= drawing.outlines.size() || drawing.outlines[i].segment_count() == 0) continue;
    const Outline& outline = drawing.outlines[i];
    // Clockwise on screen (a positive area where y runs down) is clockwise where y runs up too.
    const bool clockwise = signed_area_px2(outline) > 0, outer = depth_of(drawing, i) % 2 == 0;
    add_contour(outlines, frame, outline.closed && clockwise == outer ? reversed(outline) : outline);
  }
  return text_of(document);
}

std::string metainfo() {
  pugi::xml_document document;
  pugi::xml_node dict = start_list(document, "dict");
  add_pair(dict, "creator", "string", "batten");
  add_pair(dict, "formatVersion", "integer", "3");
  return text_of(document);
}

// Highest and lowest node, px above the baseline.
std::pair<double, double> reach_px(const Drawing& drawing, const GlyphSheet& sheet) {
  double top = 0, bottom = 0;
  for (const Glyph& glyph : sheet.glyphs)
    for (const std::size_t i : glyph.outlines)
      if (i < drawing.outlines.size())
        for (const Node& node : drawing.outlines[i].nodes) {
          top = std::max(top, glyph.origin.y - node.at.y);
          bottom = std::min(bottom, glyph.origin.y - node.at.y);
        }
  return {top, bottom};
}

std::string fontinfo(const Drawing& drawing, const GlyphSheet& sheet, const UfoOptions& options) {
  const auto [top, bottom] = reach_px(drawing, sheet);
  const double ascender = std::round(top * sheet.units_per_px);
  // At least one em from line to line, so that lines do not touch where no letter of the sheet hangs low.
  const double descender = std::min(std::round(bottom * sheet.units_per_px), ascender - sheet.units_per_em);
  char px[32];
  const auto end = std::to_chars(px, px + sizeof px, 1 / sheet.units_per_px, std::chars_format::general, 6).ptr;
  pugi::xml_document document;
  pugi::xml_node dict = start_list(document, "dict");
  add_pair(dict, "familyName", "string", clean_title(options.family_name));
  add_pair(dict, "styleName", "string", "Regular");
  add_pair(dict, "unitsPerEm", "integer", std::to_string(sheet.units_per_em));
  add_pair(dict, "ascender", "integer", number(ascender, true));
  add_pair(dict, "descender", "integer", number(descender, true));
  if (sheet.x_height_px > 0) add_pair(dict, "xHeight", "integer", number(sheet.x_height_px * sheet.units_per_px, true));
  if (sheet.cap_height_px > 0)
    add_pair(dict, "capHeight", "integer", number(sheet.cap_height_px * sheet.units_per_px, true));
  add_pair(dict, "note", "string",
           "Traced by batten " BATTEN_VERSION ". One unit is " + std::string(px, end) + " px of the scan.");
  return text_of(document);
}

// A glyph without outlines for the word space, unless there is one already.
GlyphSheet with_space(GlyphSheet sheet) {
  const bool there = std::any_of(sheet.glyphs.begin(), sheet.glyphs.end(),
                                 [](const Glyph& g) { return g.name == "space" || g.character == U' '; });
  if (there || !(sheet.space_px > 0)) return sheet;
  Glyph space;
  space.name = "space", space.character = U' ', space.advance_px = sheet.space_px;
  sheet.glyphs.push_back(std::move(space));
  return sheet;
}

}  // namespace

std::vector<FolderFile> to_ufo(const Drawing& drawing, const GlyphSheet& given, const UfoOptions& options) {
  const GlyphSheet sheet = with_space(given);
  std::vector<std::string> names;
  for (const Glyph& glyph : sheet.glyphs) names.push_back(glyph.name);
  const std::vector<std::string> files = glyph_file_names(names);

  pugi::xml_document layers, contents, lib;
  pugi::xml_node layer = start_list(layers, "array").append_child("array");
  add(layer, "string", "public.default");
  add(layer, "string", "glyphs");
  pugi::xml_node places = start_list(contents, "dict");
  pugi::xml_node keys = start_list(lib, "dict");
  add(keys, "key", "public.glyphOrder");
  pugi::xml_node order = keys.append_child("array");

  std::vector<FolderFile> folder = {{"metainfo.plist", metainfo()},
                                    {"fontinfo.plist", fontinfo(drawing, sheet, options)},
                                    {"layercontents.plist", text_of(layers)}};
  for (std::size_t i = 0; i < sheet.glyphs.size(); ++i) {
    add_pair(places, names[i], "string", files[i]);
    add(order, "string", names[i]);
    folder.push_back({"glyphs/" + files[i], glif(drawing, sheet, sheet.glyphs[i], options.whole_units)});
  }
  folder.push_back({"glyphs/contents.plist", text_of(contents)});
  folder.push_back({"lib.plist", text_of(lib)});
  return folder;
}

}  // namespace batten
