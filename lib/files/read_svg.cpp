// Reads SVG files: the outlines of paths and basic shapes, where transforms and view boxes put them. XML by pugixml
// (MIT).

#include <algorithm>
#include <cmath>
#include <pugixml.hpp>
#include <string>

#include "batten/files.h"
#include "path_grammar.h"
#include "svg_values.h"
#include "svg_walk.h"

namespace batten {
namespace {

// Numbers may overflow by themselves and in transforms. The bound is that of what is written.
bool is_place(Point p) {
  constexpr double largest = 1e9;
  return std::abs(p.x) <= largest && std::abs(p.y) <= largest;  // false for what is no number
}
bool is_placed(const Outline& outline) {
  return std::all_of(outline.nodes.begin(), outline.nodes.end(), [](const Node& n) {
    return is_place(n.at) && is_place(n.handle_before) && is_place(n.handle_after);
  });
}

class OutlineWalk : public SvgWalk {
 public:
  using SvgWalk::SvgWalk;

  std::vector<Outline> outlines;
  std::size_t open = 0;
  bool too_large = false;  // something was left out for that reason

 private:
  // Paint is inherited from the groups round an element.
  static bool filled(const pugi::xml_node& node) {
    for (pugi::xml_node at = node; at; at = at.parent())
      if (const std::string_view fill = value_of(at, "fill"); !fill.empty() && fill.substr(0, 7) != "inherit")
        return fill.substr(0, 4) != "none";
    return true;
  }
  void shape(const pugi::xml_node& node, std::string_view name, const Transform& placed) override {
    constexpr std::size_t most_nodes = 5000000;  // a few kilobytes of uses of one long path could take all memory
    if (nodes_ > most_nodes) return void(sound = false);
    std::vector<Outline> made;
    if (name == "path") {
      bool read = true;
      made = read_path(node.attribute("d").value(), &read);
      sound = sound && read;
    } else if (name == "polygon" || name == "polyline") {
      bool read = true;
      made = read_path(std::string("M") + node.attribute("points").value() + (name == "polygon" ? "Z" : ""), &read);
      sound = sound && read;
    } else if (name == "line") {
      PathMaker path;
      path.move_to({length(node, "x1", width_), length(node, "y1", height_)});
      path.line_to({length(node, "x2", width_), length(node, "y2", height_)});
      made = path.take();
    } else if (name == "rect") {
      made = rectangle(node);
    } else if (name == "circle" || name == "ellipse") {
      const double diagonal = std::hypot(width_, height_) / std::sqrt(2);
      const double rx = name == "circle" ? length(node, "r", diagonal) : length(node, "rx", width_);
      const double ry = name == "circle" ? rx : length(node, "ry", height_);
      made = ellipse({length(node, "cx", width_), length(node, "cy", height_)}, rx, ry);
    }
    const bool is_filled = name != "line" && filled(node);
    for (Outline& outline : made) {
      if (!outline.closed && !is_filled) {
        outline.kind = Kind::line;
      } else if (!outline.closed && outline.nodes.size() < 3) {
        ++open;
        continue;
      } else {
        outline.closed = true;  // a fill closes its paths by a straight
      }
      for (Node& n : outline.nodes) n = {placed(n.handle_before), placed(n.at), placed(n.handle_after)};
      nodes_ += outline.nodes.size();
      if (is_placed(outline))
        outlines.push_back(std::move(outline));
      else
        too_large = true;
    }
  }

  std::vector<Outline> rectangle(const pugi::xml_node& node) {
    const double x = length(node, "x", width_), y = length(node, "y", height_), w = length(node, "width", width_),
                 h = length(node, "height", height_);
    if (!(w > 0 && h > 0)) return {};
    double rx = length(node, "rx", width_, -1), ry = length(node, "ry", height_, -1);
    if (rx < 0) rx = std::max(0.0, ry);
    if (ry < 0) ry = rx;
    rx = std::min(rx, w / 2), ry = std::min(ry, h / 2);
    PathMaker path;
    path.move_to({x + rx, y});
    path.line_to({x + w - rx, y});
    path.arc_to(rx, ry, 0, false, true, {x + w, y + ry});
    path.line_to({x + w, y + h - ry});
    path.arc_to(rx, ry, 0, false, true, {x + w - rx, y + h});
    path.line_to({x + rx, y + h});
    path.arc_to(rx, ry, 0, false, true, {x, y + h - ry});
    path.line_to({x, y + ry});
    path.arc_to(rx, ry, 0, false, true, {x + rx, y});
    path.close();
    return path.take();
  }

  static std::vector<Outline> ellipse(Point centre, double rx, double ry) {
    if (!(rx > 0 && ry > 0)) return {};
    PathMaker path;
    path.move_to({centre.x + rx, centre.y});
    for (const Point way : {Point{0, 1}, Point{-1, 0}, Point{0, -1}, Point{1, 0}})
      path.arc_to(rx, ry, 0, false, true, {centre.x + rx * way.x, centre.y + ry * way.y});
    path.close();
    return path.take();
  }

  std::size_t nodes_ = 0;
};

Result<SvgDrawing> walk(const pugi::xml_document& document, const std::string& path) {
  const pugi::xml_node root = document.document_element();
  if (name_of(root) != "svg") return refused_svg(path, "is XML, but no SVG: give an SVG of the outlines.");
  const SvgPage page = page_of(root);
  OutlineWalk walked(document, page);
  walked.run();
  SvgDrawing out;
  out.drawing.width_px = page.view.width, out.drawing.height_px = page.view.height;
  out.width_mm = page.width_mm;
  out.drawing.outlines = std::move(walked.outlines);
  out.open_paths = walked.open;
  out.sound = walked.sound && !walked.too_deep && !walked.too_large;
  if (out.drawing.outlines.empty() && walked.too_deep)
    return refused_svg(path, "has groups nested over 1000 deep: ungroup its outlines.");
  if (out.drawing.outlines.empty() && walked.too_large)
    return refused_svg(path, "has no outline whose coordinates are below 1e9: look at its transforms.");
  if (out.drawing.outlines.empty()) return refused_svg(path, "has no outlines: give an SVG of paths or shapes.");
  return out;
}

}  // namespace

Result<SvgDrawing> read_outlines(const std::string& path) {
  const Result<std::string> bytes = read_svg_bytes(path);
  if (!bytes) return bytes.error();
  try {
    pugi::xml_document document;
    const pugi::xml_parse_result parsed = document.load_buffer(bytes->data(), bytes->size());
    if (!parsed)
      return refused_svg(path, "cannot be read as SVG (" + std::string(parsed.description()) + " at byte " +
                                   std::to_string(parsed.offset) + "): give an SVG of the outlines.");
    return walk(document, path);
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory, path + " is too large for the memory there is.", path};
  } catch (const std::exception& error) {
    return Error{ErrorCode::file_not_found, path + " cannot be read (" + error.what() + "): copy it to another place.",
                 path};
  }
}

ScanPlace place_of_page(const SvgPage& page, double width_px, double height_px, double dpi) {
  constexpr double mm_per_inch = 25.4, alike = 0.01;
  const double fit = width_px / page.view.width;
  if (std::abs(fit * page.view.height / height_px - 1) < alike)
    return {fit, std::abs(fit - 1) > 1e-3 ? "The page of the SVG was laid on the whole scan."
                                          : "One unit of the SVG was taken for one px of the scan."};
  if (page.width_mm > 0 && dpi > 0)
    return {page.width_mm / mm_per_inch * dpi / page.view.width,
            "The SVG was laid on the scan by its size in mm, from the upper left corner."};
  return {1, "One unit of the SVG was taken for one px of the scan."};
}

std::string place_on_scan(SvgDrawing& svg, double width_px, double height_px, double dpi) {
  Drawing& drawing = svg.drawing;
  SvgPage page;
  page.view.width = drawing.width_px, page.view.height = drawing.height_px;
  page.width_mm = svg.width_mm;
  const ScanPlace place = place_of_page(page, width_px, height_px, dpi);
  for (Outline& outline : drawing.outlines)
    for (Node& n : outline.nodes) n = {place.scale * n.handle_before, place.scale * n.at, place.scale * n.handle_after};
  drawing.width_px = width_px, drawing.height_px = height_px, drawing.dpi = dpi;
  return place.how;
}

}  // namespace batten
