// Reads SVG files: the outlines of paths and basic shapes, where transforms and view boxes put them. XML by pugixml
// (MIT).

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <pugixml.hpp>
#include <string>
#include <unordered_map>

#include "batten/files.h"
#include "path_grammar.h"
#include "svg_values.h"

namespace batten {
namespace {

std::string_view name_of(const pugi::xml_node& node) {
  std::string_view name = node.name();
  const std::size_t colon = name.find(':');
  return colon == name.npos ? name : name.substr(colon + 1);
}

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

class Walk {
 public:
  Walk(const pugi::xml_document& document, double width, double height) : width_(width), height_(height) {
    struct Ids : pugi::xml_tree_walker {
      explicit Ids(std::unordered_map<std::string, pugi::xml_node>& found) : found_(found) {}
      bool for_each(pugi::xml_node& node) override {
        if (const char* id = node.attribute("id").value(); *id) found_.emplace(id, node);  // the first one counts
        return true;
      }
      std::unordered_map<std::string, pugi::xml_node>& found_;
    } ids(named_);
    pugi::xml_node(document).traverse(ids);
  }

  void children(const pugi::xml_node& parent, const Transform& placed, int depth) {
    constexpr int deepest = 1000;  // of groups and uses in each other: the stack has to hold them
    if (depth > deepest) return void(too_deep = true);
    for (const pugi::xml_node& node : parent.children())
      if (node.type() == pugi::node_element) element(node, placed, depth);
  }

  std::vector<Outline> outlines;
  std::size_t open = 0;
  bool sound = true;
  bool too_deep = false, too_large = false;  // something was left out for that reason

 private:
  void element(const pugi::xml_node& node, Transform placed, int depth) {
    constexpr std::size_t most = 1000000;  // elements: uses of uses grow without bound
    if (++visited_ > most) return void(sound = false);
    if (hidden(node)) return;
    if (const char* text = node.attribute("transform").value(); *text) {
      const std::optional<Transform> own = read_transform(text);
      if (!own) return void(sound = false);
      placed = placed * *own;
    }
    const std::string_view name = name_of(node);
    if (name == "g" || name == "a" || name == "switch") return children(node, placed, depth + 1);
    if (name == "svg") return children(node, placed * nested_view(node), depth + 1);
    if (name == "use") return use(node, placed, depth);
    shape(node, name, placed);
  }

  // A property stands as an attribute, or in the style attribute, which takes precedence. Empty: it does not stand.
  static std::string_view value_of(const pugi::xml_node& node, std::string_view property) {
    constexpr std::string_view blank = " \t\r\n";
    std::string_view rest = node.attribute("style").value();
    while (!rest.empty()) {
      std::string_view one = rest.substr(0, rest.find(';'));
      rest.remove_prefix(std::min(rest.size(), one.size() + 1));
      one.remove_prefix(std::min(one.size(), one.find_first_not_of(blank)));
      if (one.substr(0, property.size()) != property) continue;
      one.remove_prefix(property.size());
      one.remove_prefix(std::min(one.size(), one.find_first_not_of(blank)));
      if (one.empty() || one.front() != ':') continue;
      one.remove_prefix(1);
      one.remove_prefix(std::min(one.size(), one.find_first_not_of(blank)));
      return one;
    }
    return node.attribute(std::string(property).c_str()).value();
  }
  static bool says(const pugi::xml_node& node, std::string_view property, std::string_view value) {
    return value_of(node, property).substr(0, value.size()) == value;
  }
  // Paint is inherited from the groups round an element.
  static bool filled(const pugi::xml_node& node) {
    for (pugi::xml_node at = node; at; at = at.parent())
      if (const std::string_view fill = value_of(at, "fill"); !fill.empty() && fill.substr(0, 7) != "inherit")
        return fill.substr(0, 4) != "none";
    return true;
  }
  static bool hidden(const pugi::xml_node& node) {
    return says(node, "display", "none") || says(node, "visibility", "hidden");
  }

  double length(const pugi::xml_node& node, const char* name, double whole, double missing = 0) {
    const char* text = node.attribute(name).value();
    if (!*text) return missing;
    const std::optional<Length> value = read_length(text, whole);
    if (!value) sound = sound && std::string_view(text) == "auto";
    return value ? value->units : missing;
  }

  Transform nested_view(const pugi::xml_node& node) {
    const double x = length(node, "x", width_), y = length(node, "y", height_);
    const double width = length(node, "width", width_, width_), height = length(node, "height", height_, height_);
    const std::optional<ViewBox> box = read_view_box(node.attribute("viewBox").value());
    if (!box) return {1, 0, 0, 1, x, y};
    return fit_view(*box, x, y, width, height, node.attribute("preserveAspectRatio").value());
  }

  void use(const pugi::xml_node& node, const Transform& placed, int depth) {
    std::string_view target = node.attribute("href").value();
    if (target.empty()) target = node.attribute("xlink:href").value();
    if (target.empty() || target.front() != '#') return void(sound = false);
    const std::string id(target.substr(1));
    const auto place = named_.find(id);
    if (place == named_.end() || depth > 16) return void(sound = false);
    const pugi::xml_node found = place->second;
    const Transform moved = placed * Transform{1, 0, 0, 1, length(node, "x", width_), length(node, "y", height_)};
    if (name_of(found) != "symbol") return element(found, moved, depth + 1);
    const std::optional<ViewBox> box = read_view_box(found.attribute("viewBox").value());
    const double width = length(node, "width", width_, width_), height = length(node, "height", height_, height_);
    children(found,
             box ? moved * fit_view(*box, 0, 0, width, height, found.attribute("preserveAspectRatio").value()) : moved,
             depth + 1);
  }

  void shape(const pugi::xml_node& node, std::string_view name, const Transform& placed) {
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

  std::unordered_map<std::string, pugi::xml_node> named_;  // by id
  double width_, height_;
  std::size_t visited_ = 0, nodes_ = 0;
};

Error refused(const std::string& path, const std::string& sentence) {
  return {ErrorCode::not_a_drawing, path + " " + sentence, path};
}

Result<SvgDrawing> walk(const pugi::xml_document& document, const std::string& path) {
  const pugi::xml_node root = document.document_element();
  if (name_of(root) != "svg") return refused(path, "is XML, but no SVG: give an SVG of the outlines.");
  constexpr double unknown = 100;  // what % means where the file does not say
  const std::optional<ViewBox> box = read_view_box(root.attribute("viewBox").value());
  const std::optional<Length> width = read_length(root.attribute("width").value(), box ? box->width : unknown),
                              height = read_length(root.attribute("height").value(), box ? box->height : unknown);
  // Without a view box the size is in units; a size of nothing, or beyond any page, is as good as none.
  const auto side = [](const std::optional<Length>& size) {
    return size && size->units >= 1e-6 && size->units <= 1e9 ? size->units : unknown;
  };
  const ViewBox view = box ? *box : ViewBox{0, 0, side(width), side(height)};
  Walk walked(document, view.width, view.height);
  walked.children(root, {1, 0, 0, 1, -view.x, -view.y}, 0);
  SvgDrawing out;
  out.drawing.width_px = view.width, out.drawing.height_px = view.height;
  if (width && width->physical) out.width_mm = width->units / 96 * 25.4;
  out.drawing.outlines = std::move(walked.outlines);
  out.open_paths = walked.open;
  out.sound = walked.sound && !walked.too_deep && !walked.too_large;
  if (out.drawing.outlines.empty() && walked.too_deep)
    return refused(path, "has groups nested over 1000 deep: ungroup its outlines.");
  if (out.drawing.outlines.empty() && walked.too_large)
    return refused(path, "has no outline whose coordinates are below 1e9: look at its transforms.");
  if (out.drawing.outlines.empty()) return refused(path, "has no outlines: give an SVG of paths or shapes.");
  return out;
}

}  // namespace

Result<SvgDrawing> read_outlines(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code code;
  const fs::file_status status = fs::status(path, code);
  if (fs::is_directory(status)) return refused(path, "is a folder: name an SVG of the outlines in it.");
  if (fs::exists(status) && !fs::is_regular_file(status))
    return refused(path, "is not a regular file: save the outlines as a file first.");
  try {
    std::ifstream in(path, std::ios::binary);
    if (!in) return Error{ErrorCode::file_not_found, path + " does not exist: check the name and the folder.", path};
    const std::string bytes{std::istreambuf_iterator<char>(in), {}};
    pugi::xml_document document;
    const pugi::xml_parse_result parsed = document.load_buffer(bytes.data(), bytes.size());
    if (!parsed)
      return refused(path, "cannot be read as SVG (" + std::string(parsed.description()) + " at byte " +
                               std::to_string(parsed.offset) + "): give an SVG of the outlines.");
    return walk(document, path);
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory, path + " is too large for the memory there is.", path};
  } catch (const std::exception& error) {
    return Error{ErrorCode::file_not_found, path + " cannot be read (" + error.what() + "): copy it to another place.",
                 path};
  }
}

std::string place_on_scan(SvgDrawing& svg, double width_px, double height_px, double dpi) {
  Drawing& drawing = svg.drawing;
  constexpr double mm_per_inch = 25.4, alike = 0.01;
  double scale = 1;
  std::string how = "One unit of the SVG was taken for one px of the scan.";
  const double fit = width_px / drawing.width_px;
  if (std::abs(fit * drawing.height_px / height_px - 1) < alike) {
    scale = fit;
    if (std::abs(fit - 1) > 1e-3) how = "The page of the SVG was laid on the whole scan.";
  } else if (svg.width_mm > 0 && dpi > 0) {
    scale = svg.width_mm / mm_per_inch * dpi / drawing.width_px;
    how = "The SVG was laid on the scan by its size in mm, from the upper left corner.";
  }
  for (Outline& outline : drawing.outlines)
    for (Node& n : outline.nodes) n = {scale * n.handle_before, scale * n.at, scale * n.handle_after};
  drawing.width_px = width_px, drawing.height_px = height_px, drawing.dpi = dpi;
  return how;
}

}  // namespace batten
