#include "svg_walk.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

namespace batten {
std::string_view name_of(const pugi::xml_node& node) {
  std::string_view name = node.name();
  const std::size_t colon = name.find(':');
  return colon == name.npos ? name : name.substr(colon + 1);
}

Error refused_svg(const std::string& path, const std::string& sentence) {
  return {ErrorCode::not_a_drawing, path + " " + sentence, path};
}

Result<std::string> read_svg_bytes(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code code;
  const fs::file_status status = fs::status(path, code);
  if (fs::is_directory(status)) return refused_svg(path, "is a folder: name an SVG of the outlines in it.");
  if (fs::exists(status) && !fs::is_regular_file(status))
    return refused_svg(path, "is not a regular file: save the outlines as a file first.");
  try {
    std::ifstream in(path, std::ios::binary);
    if (!in) return Error{ErrorCode::file_not_found, path + " does not exist: check the name and the folder.", path};
    return std::string{std::istreambuf_iterator<char>(in), {}};
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory, path + " is too large for the memory there is.", path};
  } catch (const std::exception& error) {
    return Error{ErrorCode::file_not_found, path + " cannot be read (" + error.what() + "): copy it to another place.",
                 path};
  }
}

SvgPage page_of(const pugi::xml_node& root) {
  constexpr double unknown = 100;  // what % means where the file does not say
  const std::optional<ViewBox> box = read_view_box(root.attribute("viewBox").value());
  const std::optional<Length> width = read_length(root.attribute("width").value(), box ? box->width : unknown),
                              height = read_length(root.attribute("height").value(), box ? box->height : unknown);
  // Without a view box the size is in units; a size of nothing, or beyond any page, is as good as none.
  const auto side = [](const std::optional<Length>& size) {
    return size && size->units >= 1e-6 && size->units <= 1e9 ? size->units : unknown;
  };
  SvgPage page;
  page.view = box ? *box : ViewBox{0, 0, side(width), side(height)};
  if (width && width->physical) page.width_mm = width->units / 96 * 25.4;
  if (box && width) page.unit_px = side(width) / box->width;
  return page;
}

SvgWalk::SvgWalk(const pugi::xml_document& document, const SvgPage& page)
    : width_(page.view.width),
      height_(page.view.height),
      root_(document.document_element()),
      corner_{page.view.x, page.view.y} {
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

void SvgWalk::run() { children(root_, {1, 0, 0, 1, -corner_.x, -corner_.y}, 0); }

void SvgWalk::children(const pugi::xml_node& parent, const Transform& placed, int depth) {
  constexpr int deepest = 1000;  // of groups and uses in each other: the stack has to hold them
  if (depth > deepest) return void(too_deep = true);
  for (const pugi::xml_node& node : parent.children())
    if (node.type() == pugi::node_element) element(node, placed, depth);
}

void SvgWalk::element(const pugi::xml_node& node, Transform placed, int depth) {
  constexpr std::size_t most = 1000000;  // elements: uses of uses grow without bound
  if (++visited_ > most) return void(sound = false);
  if (says(node, "display", "none") || says(node, "visibility", "hidden")) return;
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

std::string_view SvgWalk::value_of(const pugi::xml_node& node, std::string_view property) {
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

bool SvgWalk::says(const pugi::xml_node& node, std::string_view property, std::string_view value) {
  return value_of(node, property).substr(0, value.size()) == value;
}

double SvgWalk::length(const pugi::xml_node& node, const char* name, double whole, double missing) {
  const char* text = node.attribute(name).value();
  if (!*text) return missing;
  const std::optional<Length> value = read_length(text, whole);
  if (!value) sound = sound && std::string_view(text) == "auto";
  return value ? value->units : missing;
}

Transform SvgWalk::nested_view(const pugi::xml_node& node) {
  const double x = length(node, "x", width_), y = length(node, "y", height_);
  const double width = length(node, "width", width_, width_), height = length(node, "height", height_, height_);
  const std::optional<ViewBox> box = read_view_box(node.attribute("viewBox").value());
  if (!box) return {1, 0, 0, 1, x, y};
  return fit_view(*box, x, y, width, height, node.attribute("preserveAspectRatio").value());
}

void SvgWalk::use(const pugi::xml_node& node, const Transform& placed, int depth) {
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

}  // namespace batten
