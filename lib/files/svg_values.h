#pragma once
// Reads attribute values of SVG 1.1: transforms (7.6), lengths (7.10), view boxes (7.7).

#include <optional>
#include <string_view>

#include "batten/geometry.h"

namespace batten {

/// x' = a x + c y + e, y' = b x + d y + f.
struct Transform {
  double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;
  Point operator()(Point p) const { return {a * p.x + c * p.y + e, b * p.x + d * p.y + f}; }
};
/// First `inner`, then `outer`.
Transform operator*(const Transform& outer, const Transform& inner);

/// Reads a list of matrix, translate, scale, rotate, skewX and skewY; empty if it is no such list.
std::optional<Transform> read_transform(std::string_view text);

struct ViewBox {
  double x = 0, y = 0, width = 0, height = 0;
};
/// Reads four numbers, of which width and height are over 0.
std::optional<ViewBox> read_view_box(std::string_view text);

/// A length in user units at 96 to an inch; `whole` is what 100 % means. physical: mm, cm, in, pt, pc or Q.
struct Length {
  double units = 0;
  bool physical = false;
};
std::optional<Length> read_length(std::string_view text, double whole);

/// Maps a view box to a rectangle as preserveAspectRatio says: stretched for "none", otherwise whole and in the middle,
/// or at an edge for xMin, xMax, yMin and yMax.
Transform fit_view(const ViewBox& box, double x, double y, double width, double height, std::string_view aspect);

}  // namespace batten
