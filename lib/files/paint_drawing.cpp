#include "paint_drawing.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <optional>

#include "batten/measure.h"
#include "flat_picture.h"

namespace batten {
namespace {

constexpr double lightening = 0.55;  // share of white laid over the scan: ink stays visible under the lines

void add_path(cairo_t* c, const Outline& outline) {
  if (outline.nodes.empty()) return;
  cairo_move_to(c, outline.nodes[0].at.x, outline.nodes[0].at.y);
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const Cubic s = outline.segment(i);
    cairo_curve_to(c, s[1].x, s[1].y, s[2].x, s[2].y, s[3].x, s[3].y);
  }
  if (outline.closed) cairo_close_path(c);
}

// Left of the direction of travel at parameter t, which is the side of the paper; a straight has retracted handles.
Point paper_side(const Cubic& c, bool straight, double t) {
  const double s = 1 - t;
  Point d = straight ? c[3] - c[0] : s * s * (c[1] - c[0]) + 2 * s * t * (c[2] - c[1]) + t * t * (c[3] - c[2]);
  if (std::hypot(d.x, d.y) < 1e-9) d = c[3] - c[0];
  const double size = std::max(1e-12, std::hypot(d.x, d.y));
  return {d.y / size, -d.x / size};
}

Point place_at(const Cubic& c, double t) {
  const double s = 1 - t;
  return s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3];
}

// A stroke from the outline to where the drawing lies, `times` enlarged.
struct CrossStroke {
  Point at, end;
  Point along;          // direction of travel, of length 1
  double deviation_px;  // signed: positive on the side of the paper
};

// Strokes at least gap_px apart; the largest deviation between two is never left out.
std::vector<CrossStroke> cross_strokes(const Outline& outline, const OutlineReport& report, double times,
                                       double gap_px) {
  std::vector<CrossStroke> strokes;
  std::optional<CrossStroke> largest;
  double length_px = 0;
  Point before = outline.nodes.empty() ? Point{} : outline.nodes[0].at;
  const auto deviations = deviation_along(outline, report.judged);
  for (std::size_t i = 0; i < deviations.size(); ++i)
    for (std::size_t k = 0; k < deviations[i].size(); ++k) {
      const double t = double(k) / double(deviations[i].size()), off_px = deviations[i][k];
      const Cubic c = outline.segment(i);
      const Point at = outline.is_straight(i) ? (1 - t) * c[0] + t * c[3] : place_at(c, t);
      const Point side = paper_side(c, outline.is_straight(i), t);
      if (!largest || std::abs(off_px) > std::abs(largest->deviation_px))
        largest = CrossStroke{at, at + times * off_px * side, {-side.y, side.x}, off_px};
      length_px += std::hypot(at.x - before.x, at.y - before.y);
      before = at;
      if (length_px < gap_px) continue;
      strokes.push_back(*largest);
      largest.reset();
      length_px = 0;
    }
  if (largest) strokes.push_back(*largest);
  return strokes;
}

}  // namespace

void use(cairo_t* c, Colour colour) { cairo_set_source_rgba(c, colour.red, colour.green, colour.blue, colour.alpha); }

char letter_of(Reason reason) {
  switch (reason) {
    case Reason::corner:
      return 'C';
    case Reason::extreme_left:
      return 'L';
    case Reason::extreme_right:
      return 'R';
    case Reason::extreme_top:
      return 'T';
    case Reason::extreme_bottom:
      return 'B';
    case Reason::straight_end:
      return 'E';
    case Reason::added:
      return '+';
    case Reason::line_end:
      return 'N';
  }
  return '?';
}

Surface lightened(const Picture& picture) {
  Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height));
  if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) return nullptr;
  const FlatPicture flat = flattened(picture);
  unsigned char* out = cairo_image_surface_get_data(surface.get());
  const int out_stride = cairo_image_surface_get_stride(surface.get());
  const std::uint8_t* in = flat.rgb.data();
  for (int y = 0; y < picture.height; ++y)
    for (int x = 0; x < picture.width; ++x) {
      std::uint32_t packed = 0;
      for (int c = 0; c < 3; ++c)
        packed = packed << 8 | static_cast<std::uint32_t>(std::lround(255 * lightening + (1 - lightening) * *in++));
      std::memcpy(out + static_cast<std::ptrdiff_t>(y) * out_stride + 4 * static_cast<std::ptrdiff_t>(x), &packed, 4);
    }
  cairo_surface_mark_dirty(surface.get());
  return surface;
}

void paint_scan(cairo_t* c, cairo_surface_t* scan, double scale) {
  cairo_set_source_surface(c, scan, 0, 0);
  cairo_pattern_set_filter(cairo_get_source(c), scale >= 1 ? CAIRO_FILTER_NEAREST : CAIRO_FILTER_GOOD);
  cairo_paint(c);
}

void paint_areas_and_lines(cairo_t* c, const Drawing& drawing, double scale) {
  for (const Outline& outline : drawing.outlines)
    if (!outline.is_line()) add_path(c, outline);
  use(c, area_colour);
  cairo_fill(c);
  for (const Outline& outline : drawing.outlines) add_path(c, outline);
  use(c, outline_colour);
  cairo_set_line_width(c, 1.5 / scale);
  cairo_stroke(c);
}

void paint_before(cairo_t* c, const std::vector<Outline>& outlines, double scale) {
  const double dashes[] = {4 / scale, 2 / scale};
  cairo_save(c);
  cairo_set_dash(c, dashes, 2, 0);
  for (const Outline& outline : outlines) add_path(c, outline);
  use(c, before_colour);
  cairo_set_line_width(c, 1 / scale);
  cairo_stroke(c);
  cairo_restore(c);
}

void paint_handles(cairo_t* c, const Drawing& drawing, double scale) {
  for (const Outline& outline : drawing.outlines)
    for (const Node& node : outline.nodes)
      for (const Point handle : {node.handle_before, node.handle_after}) {
        if (handle == node.at) continue;
        const Point along = 1 / std::hypot(handle.x - node.at.x, handle.y - node.at.y) * (handle - node.at);
        const Point bar = handle_bar / scale * Point{-along.y, along.x};
        cairo_move_to(c, node.at.x, node.at.y), cairo_line_to(c, handle.x, handle.y);
        cairo_move_to(c, handle.x - bar.x, handle.y - bar.y), cairo_line_to(c, handle.x + bar.x, handle.y + bar.y);
      }
  use(c, handle_colour);
  cairo_set_line_width(c, 0.8 / scale);
  cairo_stroke(c);
}

void paint_nodes(cairo_t* c, const Drawing& drawing, double scale, bool with_letters) {
  constexpr double turn = 6.283185307179586, radius = 2.6, letter_height = 10, letter_offset = 5;
  use(c, node_colour);
  cairo_select_font_face(c, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(c, letter_height / scale);
  for (const Outline& outline : drawing.outlines)
    for (const Node& node : outline.nodes) {
      cairo_new_sub_path(c);
      cairo_arc(c, node.at.x, node.at.y, radius / scale, 0, turn);
      cairo_fill(c);
      if (!with_letters) continue;
      const char text[] = {letter_of(node.reason), 0};
      cairo_move_to(c, node.at.x + letter_offset / scale, node.at.y - letter_offset / scale);
      cairo_text_path(c, text);  // a light rim keeps it readable over pencil and outline
      cairo_set_source_rgba(c, 1, 1, 1, 0.8);
      cairo_set_line_width(c, 3 / scale);
      cairo_stroke_preserve(c);
      use(c, node_colour);
      cairo_fill(c);
    }
}

void paint_guides(cairo_t* c, const Drawing& drawing, double scale) {
  const double dashes[] = {9 / scale, 5 / scale};
  cairo_save(c);
  cairo_set_dash(c, dashes, 2, 0);
  use(c, guide_colour);
  cairo_set_line_width(c, 0.8 / scale);
  for (const Guide& guide : drawing.guides) {
    cairo_move_to(c, 0, guide.y0_px);
    cairo_line_to(c, drawing.width_px, guide.y0_px + guide.slope * drawing.width_px);
  }
  cairo_stroke(c);
  cairo_restore(c);
}

void paint_edits(cairo_t* c, const Conversion& conversion, double scale) {
  constexpr double radius = 7;
  const std::vector<Outline>& outlines = conversion.drawing.outlines;
  use(c, guide_colour);
  cairo_set_line_width(c, 0.8 / scale);
  for (const Edit& edit : conversion.report.edits) {
    if (!edit.kept) continue;
    for (const Edit::Where& where : edit.nodes) {
      const auto o = std::size_t(where.outline), n = std::size_t(where.node);
      if (o >= outlines.size() || n >= outlines[o].nodes.size()) continue;
      const Point at = outlines[o].nodes[n].at;
      cairo_new_sub_path(c);
      cairo_arc(c, at.x, at.y, radius / scale, 0, 2 * 3.14159265358979);
    }
  }
  cairo_stroke(c);
}

void paint_deviation(cairo_t* c, const Conversion& conversion, double scale, double times) {
  // Units of the paper: between strokes; from the middle of a double stroke; a shorter one lies under the outline's
  // line.
  constexpr double gap = 4, apart = 1.2, shortest = 1;
  std::vector<CrossStroke> within, beyond;
  const std::size_t count = std::min(conversion.drawing.outlines.size(), conversion.report.outlines.size());
  for (std::size_t i = 0; i < count; ++i) {
    const OutlineReport& report = conversion.report.outlines[i];
    for (const CrossStroke& s : cross_strokes(conversion.drawing.outlines[i], report, times, gap / scale)) {
      if (times * scale * std::abs(s.deviation_px) < shortest) continue;
      if (std::abs(s.deviation_px) <= report.limit_px) {
        within.push_back(s);
        continue;
      }
      for (const double sign : {-1., 1.}) {
        const Point aside = sign * apart / scale * s.along;
        beyond.push_back({s.at + aside, s.end + aside, s.along, s.deviation_px});
      }
    }
  }
  const auto stroke = [&](const std::vector<CrossStroke>& strokes, Colour colour, double width) {
    for (const CrossStroke& s : strokes) cairo_move_to(c, s.at.x, s.at.y), cairo_line_to(c, s.end.x, s.end.y);
    use(c, {1, 1, 1, 0.85});  // a light rim keeps them apart from the pencil
    cairo_set_line_width(c, (width + 1.6) / scale);
    cairo_stroke_preserve(c);
    use(c, colour);
    cairo_set_line_width(c, width / scale);
    cairo_stroke(c);
  };
  stroke(within, deviation_colour, 0.9);
  stroke(beyond, beyond_colour, 1.2);
}

std::vector<std::uint8_t> rgb_bytes(cairo_surface_t* surface, int width, int height) {
  cairo_surface_flush(surface);
  const unsigned char* data = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  std::vector<std::uint8_t> rgb(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 3);
  std::uint8_t* out = rgb.data();
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      std::uint32_t pixel;
      std::memcpy(&pixel, data + static_cast<std::ptrdiff_t>(y) * stride + 4 * static_cast<std::ptrdiff_t>(x), 4);
      for (int shift = 16; shift >= 0; shift -= 8) *out++ = static_cast<std::uint8_t>(pixel >> shift);
    }
  return rgb;
}

}  // namespace batten
