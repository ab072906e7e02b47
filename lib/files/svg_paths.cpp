#include "svg_paths.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <unordered_set>

namespace batten {
namespace {

bool is_animation(std::string_view name) { return name == "animate" || name == "set"; }
bool is_shape(std::string_view name) { return name == "path" || name == "polyline" || name == "polygon"; }

// What has to be known of the whole file first.
struct Surroundings {
  std::unordered_set<std::string> animated;  // ids of paths whose outline is animated from elsewhere
  std::string style;
  bool has_script = false;
  std::size_t shapes = 0;
};

Surroundings look_round(const pugi::xml_document& document) {
  struct Look : pugi::xml_tree_walker {
    bool for_each(pugi::xml_node& node) override {
      if (node.type() != pugi::node_element) return true;
      const std::string_view name = name_of(node);
      if (is_shape(name)) ++found.shapes;
      if (name == "script") found.has_script = true;
      if (name == "style")
        for (const pugi::xml_node& text : node.children()) found.style += text.value();
      if (is_animation(name)) {
        std::string_view target = node.attribute("href").value();
        if (target.empty()) target = node.attribute("xlink:href").value();
        if (!target.empty() && target.front() == '#') found.animated.emplace(target.substr(1));
      }
      return true;
    }
    Surroundings found;
  } look;
  pugi::xml_node(document).traverse(look);
  return std::move(look.found);
}

class PathWalk : public SvgWalk {
 public:
  PathWalk(const pugi::xml_document& document, const SvgPage& page, const Surroundings& round)
      : SvgWalk(document, page), prefix_(prefix_of(document.document_element())), round_(round) {}

  // Each path by the place where it is largest, and how much larger it is elsewhere in some direction.
  std::vector<SvgPath> take() {
    for (std::size_t i = 0; i < paths_.size(); ++i) {
      SvgPath& path = paths_[i];
      const std::vector<Transform>& all = places_[i];
      path.placed = *std::max_element(
          all.begin(), all.end(), [](const Transform& a, const Transform& b) { return stretch_of(a) < stretch_of(b); });
      const std::optional<Transform> back = inverse(path.placed);
      if (!back) {
        leave(&path, "its transform makes a line or a point of it");
        continue;
      }
      for (const Transform& other : all) path.strictness = std::max(path.strictness, stretch_of(other * *back));
      if (!(path.strictness < 1e6)) leave(&path, "it is used at sizes too unlike");
    }
    return std::move(paths_);
  }

 private:
  static std::string_view prefix_of(const pugi::xml_node& node) {
    const std::string_view name = node.name();
    const std::size_t colon = name.find(':');
    return colon == name.npos ? std::string_view() : name.substr(0, colon);
  }
  static void leave(SvgPath* path, const char* why) {
    if (path->left_because.empty()) path->left_because = why;
  }

  void shape(const pugi::xml_node& node, std::string_view name, const Transform& placed) override {
    if (!is_shape(name) || prefix_of(node) != prefix_) return;
    const auto [at, is_new] = index_.emplace(node.hash_value(), paths_.size());
    if (is_new) {
      paths_.push_back(read(node, name));
      places_.emplace_back();
    } else {
      paths_[at->second].is_used_again = true;
    }
    // Only how it stretches matters: a page of thousands of uses has few sizes.
    constexpr std::size_t most_sizes = 256;
    std::vector<Transform>& places = places_[at->second];
    const bool known = std::any_of(places.begin(), places.end(), [&](const Transform& t) {
      return t.a == placed.a && t.b == placed.b && t.c == placed.c && t.d == placed.d;
    });
    if (known) return;
    if (places.size() < most_sizes)
      places.push_back(placed);
    else
      leave(&paths_[at->second], "it is used at more sizes than can be looked at");
  }

  SvgPath read(const pugi::xml_node& node, std::string_view name) const {
    SvgPath path;
    path.node = node, path.name = name;
    const bool is_path = name == "path";
    const char* text = node.attribute(is_path ? "d" : "points").value();
    path.data = is_path ? text : *text ? std::string("M") + text + (name == "polygon" ? "Z" : "") : "";
    bool read = true;
    path.outlines = read_path(path.data, &read, &path.parts);
    if (!read) leave(&path, "its data are not SVG 1.1");
    if (is_path && !value_of(node, "d").empty() && value_of(node, "d").data() != text)
      leave(&path, "its style says another outline");
    if (is_animated(node)) leave(&path, "its outline is animated");
    if (has_markers(node)) leave(&path, "markers stand at its nodes");
    return path;
  }
  bool is_animated(const pugi::xml_node& node) const {
    for (const pugi::xml_node& child : node.children()) {
      const std::string_view attribute = child.attribute("attributeName").value();
      if (is_animation(name_of(child)) && (attribute == "d" || attribute == "points")) return true;
    }
    return round_.animated.contains(node.attribute("id").value());
  }
  // Properties are inherited from the groups round an element. What stands at both ends only stays there.
  static bool has_markers(const pugi::xml_node& node) {
    for (const char* property : {"marker-mid", "marker"})
      for (pugi::xml_node at = node; at; at = at.parent())
        if (const std::string_view value = value_of(at, property); !value.empty()) {
          if (value.substr(0, 4) == "none") break;
          return true;
        }
    return false;
  }

  std::string_view prefix_;
  const Surroundings& round_;
  std::vector<SvgPath> paths_;
  std::vector<std::vector<Transform>> places_;
  std::unordered_map<std::size_t, std::size_t> index_;
};

}  // namespace

double stretch_of(const Transform& t) {
  // The larger singular value of a 2 x 2 matrix (Golub and Van Loan, Matrix Computations, 4th edition 2013, 8.6).
  const double sum = std::hypot(t.a + t.d, t.b - t.c), difference = std::hypot(t.a - t.d, t.b + t.c);
  return 0.5 * (sum + difference);
}

std::optional<Transform> inverse(const Transform& t) {
  const double det = t.a * t.d - t.b * t.c, stretch = stretch_of(t);
  constexpr double flattest = 1e-9;  // narrower, and nothing is left of one direction
  if (!(std::abs(det) > flattest * stretch * stretch) || !std::isfinite(det)) return std::nullopt;
  Transform out{t.d / det, -t.b / det, -t.c / det, t.a / det, 0, 0};
  out.e = -(out.a * t.e + out.c * t.f), out.f = -(out.b * t.e + out.d * t.f);
  return out;
}

SvgPaths find_svg_paths(const pugi::xml_document& document, const SvgPage& page) {
  const Surroundings round = look_round(document);
  PathWalk walk(document, page, round);
  walk.run();
  SvgPaths out;
  out.paths = walk.take();
  out.sound = walk.sound && !walk.too_deep;
  out.not_painted = round.shapes - out.paths.size();
  out.has_script = round.has_script;
  out.style = round.style;
  return out;
}

}  // namespace batten
