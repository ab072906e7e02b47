// Paints the drawing over its scan with cairo, so that one sees at once whether it lies where the pencil went.

#include <algorithm>
#include <cmath>
#include <new>

#include "paint_drawing.h"

namespace batten {
namespace {

constexpr double largest_side_px = 32000;  // cairo's image surfaces end at 32,767

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
  paint_scan(c, scan.get(), scale);
  paint_areas_and_lines(c, drawing, scale);
  paint_handles(c, drawing, scale);
  paint_nodes(c, drawing, scale, scale >= 2);
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
