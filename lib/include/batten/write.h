#pragma once
/// \file
/// Turns a drawing into the text of a file.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "batten/export.h"
#include "batten/geometry.h"

namespace batten {

/// The shapes of a drawing in reading order: for each the index of its outer outline, then those of its counters. An
/// island within a counter is a shape of its own. Every writer delivers these; outlines without nodes or with a
/// coordinate that is no place on a sheet (over 1e9 px, not a number) are left out.
BATTEN_EXPORT std::vector<std::vector<std::size_t>> shapes(const Drawing& drawing);

/// A number with so many decimals, 0..17, and a point whatever the locale of the program; "unknown" where it is not
/// finite.
BATTEN_EXPORT std::string decimal(double value, int decimals);

/// `name` as text of a file: what is not UTF-8 becomes U+FFFD, control characters become spaces.
BATTEN_EXPORT std::string clean_title(std::string_view name);

/// What an SVG holds beside the outlines.
struct SvgOptions {
  std::string title;   ///< text of its title element, UTF-8. DEFAULT: none
  bool nodes = false;  ///< a dot for each node over the shapes, its reason in words as the dot's title. DEFAULT: false
};

/// SVG 1.1 (https://www.w3.org/TR/SVG11/). User unit = scan pixel; width and height in mm where drawing.dpi is known;
/// one compound path per shape with its counters, in reading order, with an id; commands M, C, L, H, V, Z only.
/// Coordinates are rounded to thousandths of a pixel, equal ones to equal numbers.
///
/// \snippet polyline.cpp svg
BATTEN_EXPORT std::string to_svg(const Drawing& drawing, const SvgOptions& options = {});

}  // namespace batten
