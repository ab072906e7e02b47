// The drawing painted over its scan with cairo, so that one can see at once whether it lies where the pencil went.

#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>
#include <new>

#include "decoders.h"

namespace batten {
namespace {

struct Deleter {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
using Surface = std::unique_ptr<cairo_surface_t, Deleter>;
using Context = std::unique_ptr<cairo_t, Deleter>;

constexpr double largest_side_px = 32000;  // cairo's image surfaces end at 32,767
constexpr double lightening = 0.55;        // share of white laid over the scan: ink stays visible under the lines

struct Colour {
  double red, green, blue, alpha = 1;
};
constexpr Colour outline_colour{0.00, 0.42, 0.40};
constexpr Colour area_colour{0.00, 0.55, 0.50, 0.10};
constexpr Colour handle_colour{0.45, 0.30, 0.62};
constexpr Colour node_colour{0.80, 0.22, 0.10};

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
      return 'S';
    case Reason::added:
      return 'A';
    case Reason::pinned:
      return 'P';
  }
  return '?';
}

// Sample i of a row as 0..1.
double sample(const std::uint8_t* row, std::size_t i, bool deep) {
  if (!deep) return row[i] / 255.0;
  std::uint16_t value;
  std::memcpy(&value, row + 2 * i, 2);
  return value / 65535.0;
}

std::uint32_t lightened_pixel(const std::uint8_t* row, std::size_t x, std::size_t channels, bool deep) {
  const double alpha = channels == 4 ? sample(row, x * 4 + 3, deep) : 1;
  std::uint32_t packed = 0;
  for (std::size_t c = 0; c < 3; ++c) {
    const double value = sample(row, x * channels + (channels == 1 ? 0 : c), deep);
    const double on_paper = value * alpha + 1 - alpha;
    packed = packed << 8 | static_cast<std::uint32_t>(std::lround(255 * (lightening + (1 - lightening) * on_paper)));
  }
  return packed;
}

Surface lightened(const Picture& picture) {
  Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height));
  if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) return nullptr;
  unsigned char* out = cairo_image_surface_get_data(surface.get());
  const int out_stride = cairo_image_surface_get_stride(surface.get());
  const bool deep = picture.format == PixelFormat::gray16 || picture.format == PixelFormat::rgb16 ||
                    picture.format == PixelFormat::rgba16;
  const std::size_t channels = static_cast<std::size_t>(bytes_per_pixel(picture.format)) / (deep ? 2 : 1);
  for (int y = 0; y < picture.height; ++y) {
    const std::uint8_t* row = picture.bytes.data() + y * picture.stride_bytes;
    unsigned char* target = out + static_cast<std::ptrdiff_t>(y) * out_stride;
    for (int x = 0; x < picture.width; ++x) {
      const std::uint32_t pixel = lightened_pixel(row, static_cast<std::size_t>(x), channels, deep);
      std::memcpy(target + 4 * static_cast<std::ptrdiff_t>(x), &pixel, 4);
    }
  }
  cairo_surface_mark_dirty(surface.get());
  return surface;
}

void add_path(cairo_t* c, const Outline& outline) {
  if (outline.nodes.empty()) return;
  cairo_move_to(c, outline.nodes[0].at.x, outline.nodes[0].at.y);
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const Cubic s = outline.segment(i);
    cairo_curve_to(c, s[1].x, s[1].y, s[2].x, s[2].y, s[3].x, s[3].y);
  }
  if (outline.closed) cairo_close_path(c);
}

void draw_areas_and_lines(cairo_t* c, const Drawing& drawing, double scale) {
  for (const Outline& outline : drawing.outlines)
    if (outline.closed) add_path(c, outline);
  use(c, area_colour);
  cairo_fill(c);
  for (const Outline& outline : drawing.outlines) add_path(c, outline);
  use(c, outline_colour);
  cairo_set_line_width(c, 1.5 / scale);
  cairo_stroke(c);
}

void draw_handles(cairo_t* c, const Drawing& drawing, double scale) {
  for (const Outline& outline : drawing.outlines)
    for (const Node& node : outline.nodes)
      for (const Point handle : {node.handle_in, node.handle_out}) {
        if (handle == node.at) continue;
        cairo_move_to(c, node.at.x, node.at.y);
        cairo_line_to(c, handle.x, handle.y);
      }
  use(c, handle_colour);
  cairo_set_line_width(c, 0.8 / scale);
  cairo_stroke(c);
}

void draw_nodes(cairo_t* c, const Drawing& drawing, double scale) {
  constexpr double turn = 6.283185307179586, radius = 2.6, letter_height = 10, letter_offset = 5;
  use(c, node_colour);
  cairo_select_font_face(c, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(c, letter_height / scale);
  for (const Outline& outline : drawing.outlines)
    for (const Node& node : outline.nodes) {
      cairo_new_sub_path(c);
      cairo_arc(c, node.at.x, node.at.y, radius / scale, 0, turn);
      cairo_fill(c);
      if (scale < 2) continue;
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

Error too_little_memory() {
  return {ErrorCode::out_of_memory, "There is not enough memory for the overlay: ask for a smaller scale.", "overlay"};
}

Result<std::string> paint(const Picture& picture, const Drawing& drawing, double scale) {
  const int width = std::max(1, static_cast<int>(std::lround(picture.width * scale)));
  const int height = std::max(1, static_cast<int>(std::lround(picture.height * scale)));
  const Surface scan = lightened(picture);
  const Surface sheet(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
  const Context context(cairo_create(sheet.get()));
  cairo_t* c = context.get();
  if (!scan || cairo_status(c) != CAIRO_STATUS_SUCCESS) return too_little_memory();
  cairo_scale(c, scale, scale);
  cairo_set_source_surface(c, scan.get(), 0, 0);
  cairo_pattern_set_filter(cairo_get_source(c), scale >= 1 ? CAIRO_FILTER_NEAREST : CAIRO_FILTER_GOOD);
  cairo_paint(c);
  draw_areas_and_lines(c, drawing, scale);
  draw_handles(c, drawing, scale);
  draw_nodes(c, drawing, scale);
  if (cairo_status(c) != CAIRO_STATUS_SUCCESS) return too_little_memory();
  const std::vector<std::uint8_t> rgb = rgb_bytes(sheet.get(), width, height);
  return to_png({rgb.data(), width, height, std::ptrdiff_t{width} * 3, PixelFormat::rgb8}, picture.dpi * scale);
}

}  // namespace

Result<std::string> draw_overlay(const Picture& picture, const Drawing& drawing, double scale) {
  if (!(scale >= 1 && scale <= 1000))
    return Error{ErrorCode::bad_option, "The scale of the overlay must lie between 1 and 1000.", "scale"};
  if (picture.width < 1 || picture.height < 1 || picture.bytes.empty() || picture.width > 32767 ||
      picture.height > 32767)
    return Error{ErrorCode::bad_pixels, "An overlay needs a picture of at most 32767 px a side: crop the scan.",
                 "picture"};
  scale = std::min(scale, largest_side_px / std::max(picture.width, picture.height));
  try {
    return paint(picture, drawing, scale);
  } catch (const std::bad_alloc&) {
    return too_little_memory();
  }
}

}  // namespace batten
