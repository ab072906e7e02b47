#pragma once
// What overlay and proof paint with cairo: the lightened scan, and the drawing over it. All functions paint in px of
// the scan on a context that is scaled to `scale` units of the paper for each px; widths of lines and sizes of letters
// are in units.

#include <cairo.h>

#include <memory>

#include "batten/files.h"

namespace batten {

struct CairoDeleter {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
using Surface = std::unique_ptr<cairo_surface_t, CairoDeleter>;
using Context = std::unique_ptr<cairo_t, CairoDeleter>;

struct Colour {
  double red, green, blue, alpha = 1;
};
inline constexpr Colour outline_colour{0.00, 0.42, 0.40};
inline constexpr Colour before_colour{0.70, 0.26, 0.05};
inline constexpr Colour area_colour{0.00, 0.55, 0.50, 0.10};
inline constexpr Colour handle_colour{0.45, 0.30, 0.62};
inline constexpr Colour node_colour{0.80, 0.22, 0.10};
inline constexpr Colour deviation_colour{0.33, 0.35, 0.40};  // graphite
inline constexpr Colour beyond_colour{0.08, 0.07, 0.05};
inline constexpr Colour guide_colour{0.15, 0.13, 0.11};
inline constexpr double handle_bar = 3;  // units of the paper: half the bar across the end of a handle

void use(cairo_t* c, Colour colour);
/// The letter that stands for a reason: C corner, L R T B the extremes, E end of a straight, + added.
char letter_of(Reason reason);

/// Null where there is not enough memory.
Surface lightened(const Picture& picture);
void paint_scan(cairo_t* c, cairo_surface_t* scan, double scale);
void paint_areas_and_lines(cairo_t* c, const Drawing& drawing, double scale);
/// Outlines as they were, dashed.
void paint_before(cairo_t* c, const std::vector<Outline>& outlines, double scale);
void paint_handles(cairo_t* c, const Drawing& drawing, double scale);
void paint_nodes(cairo_t* c, const Drawing& drawing, double scale, bool with_letters);
void paint_guides(cairo_t* c, const Drawing& drawing, double scale);
/// A ring round each node that an edit straightened.
void paint_edits(cairo_t* c, const Conversion& conversion, double scale);
/// Strokes across each outline to the side where the drawing lies, `times` as long as the deviation; double ones,
/// nearly black, where it is over the limit.
void paint_deviation(cairo_t* c, const Conversion& conversion, double scale, double times);

std::vector<std::uint8_t> rgb_bytes(cairo_surface_t* surface, int width, int height);

}  // namespace batten
