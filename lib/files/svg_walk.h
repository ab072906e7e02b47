#pragma once
// Walks through the shapes of an SVG 1.1 file in the order of painting: groups, transforms, nested views, uses. XML by
// pugixml (MIT).

#include <optional>
#include <pugixml.hpp>
#include <string>
#include <string_view>
#include <unordered_map>

#include "batten/error.h"
#include "svg_values.h"

namespace batten {

/// The name of an element without its prefix.
std::string_view name_of(const pugi::xml_node& node);

/// The file's bytes; Errors: file_not_found, not_a_drawing (a folder, a device).
Result<std::string> read_svg_bytes(const std::string& path);
/// "PATH is no SVG ..."
Error refused_svg(const std::string& path, const std::string& sentence);

/// What the root element says of the page.
struct SvgPage {
  ViewBox view;
  double width_mm = 0;  ///< of the page where it is given in mm, cm, in, pt ...; 0: unknown
  double unit_px = 1;   ///< how many px of CSS (96 to an inch) a unit of the view box measures
};
SvgPage page_of(const pugi::xml_node& root);

/// Where a page lies on a scan, as place_on_scan() says: its upper left corner on the scan's.
struct ScanPlace {
  double scale = 1;  ///< px of the scan for each unit of the page
  std::string how;   ///< a sentence
};
ScanPlace place_of_page(const SvgPage& page, double width_px, double height_px, double dpi);

class SvgWalk {
 public:
  SvgWalk(const pugi::xml_document& document, const SvgPage& page);
  SvgWalk(const SvgWalk&) = delete;
  virtual ~SvgWalk() = default;
  /// Visits all that is painted. Hidden elements are not.
  void run();

  bool sound = true;      ///< false where something was left out because it is not SVG 1.1
  bool too_deep = false;  ///< something was left out because groups are nested too deep

 protected:
  /// A path or a basic shape, or whatever else stands where one may stand. `placed` leads from its own coordinates to
  /// units of the view box from its corner.
  virtual void shape(const pugi::xml_node& node, std::string_view name, const Transform& placed) = 0;

  /// A property stands as an attribute, or in the style attribute, which takes precedence. Empty: it does not stand.
  static std::string_view value_of(const pugi::xml_node& node, std::string_view property);
  static bool says(const pugi::xml_node& node, std::string_view property, std::string_view value);
  double length(const pugi::xml_node& node, const char* name, double whole, double missing = 0);

  double width_, height_;

 private:
  void children(const pugi::xml_node& parent, const Transform& placed, int depth);
  void element(const pugi::xml_node& node, Transform placed, int depth);
  Transform nested_view(const pugi::xml_node& node);
  void use(const pugi::xml_node& node, const Transform& placed, int depth);

  pugi::xml_node root_;
  Point corner_;
  std::unordered_map<std::string, pugi::xml_node> named_;  // by id
  std::size_t visited_ = 0;
};

}  // namespace batten
