#include "ink/load_scan.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <string>

#include "base/parallel.h"
#include "ink/cover_masked.h"
#include "ink/read_row.h"

namespace batten {
namespace {

std::optional<Error> check_view(const ImageView& image, const Layout& layout) {
  const auto bad = [](std::string text) { return Error{ErrorCode::bad_pixels, std::move(text), "image"}; };
  if (layout.samples == 0) return bad("The pixel format is unknown: use one of PixelFormat.");
  if (image.width <= 0 || image.height <= 0)
    return bad("The picture is " + std::to_string(image.width) + " x " + std::to_string(image.height) +
               " pixels: both sides must be at least 1.");
  if (!image.pixels) return bad("The picture has no pixels: set ImageView::pixels.");
  // A side of 2^16 pixels and 2^30 pixels in all keep every index of the pixel stages within an int.
  if (image.width > 65535 || image.height > 65535 || std::int64_t(image.width) * image.height > (std::int64_t(1) << 30))
    return bad(
        "The picture is too large (over 65535 pixels a side or 2^30 in all): scan at a lower resolution or crop it.");
  const std::ptrdiff_t row_bytes = std::ptrdiff_t(image.width) * layout.samples * layout.bytes;
  if (image.height > 1 && std::abs(image.stride_bytes) < row_bytes)
    return bad("The stride of " + std::to_string(image.stride_bytes) + " bytes is shorter than a row of " +
               std::to_string(row_bytes) + " bytes.");
  if (image.mask && image.height > 1 && std::abs(image.mask_stride_bytes) < image.width)
    return bad("The stride of the mask, " + std::to_string(image.mask_stride_bytes) + ", is shorter than a row of " +
               std::to_string(image.width) + " bytes.");
  return std::nullopt;
}

// Masked pixels are covered before anything is averaged.
void read_covered(const ImageView& image, const Layout& layout, const GroundColours& ground, int y, Row* row) {
  read_row(image, layout, y, row);
  if (image.mask) cover_masked(image, ground, y, row);
}

// The rows of the picture that make one of the scan, or the one row itself.
void read_row(const ImageView& image, const Layout& layout, const GroundColours& ground, int y, int reduction,
              Row* part, Row* row) {
  if (reduction == 1) return read_covered(image, layout, ground, y, row);
  const int first = y * reduction, rows = std::min(reduction, image.height - first);
  for (auto* channel : {&row->red, &row->green, &row->blue}) std::fill(channel->begin(), channel->end(), 0.f);
  const auto add = [&](const std::vector<float>& from, std::vector<float>* to) {
    for (int x = 0; x < image.width; ++x) (*to)[std::size_t(x / reduction)] += from[std::size_t(x)];
  };
  for (int i = 0; i < rows; ++i) {
    read_covered(image, layout, ground, first + i, part);
    add(part->red, &row->red);
    if (layout.samples > 1) add(part->green, &row->green), add(part->blue, &row->blue);
  }
  for (std::size_t x = 0; x < row->red.size(); ++x) {
    const float share = 1.f / float(rows * std::min(reduction, image.width - int(x) * reduction));
    row->red[x] *= share, row->green[x] *= share, row->blue[x] *= share;
  }
  if (layout.samples == 1) row->green = row->blue = row->red;
}

// Rows from `y` on, read into the planes of the scan. They begin at a whole row of the copy.
void read_rows(const ImageView& image, const Layout& layout, const GroundColours& ground, int y, int end, int of_scan,
               int reduction, Scan* scan) {
  const int width = scan->grey.width;
  Row row(width), part(of_scan > 1 ? image.width : 0);
  const float share = 1.f / float(reduction * reduction);
  for (; y < end; ++y) {
    read_row(image, layout, ground, y, of_scan, &part, &row);
    float* grey = scan->grey.row(y);
    if (layout.samples == 1) {
      std::copy(row.red.begin(), row.red.end(), grey);
    } else {
      float* brightest = scan->brightest.row(y);
      for (int x = 0; x < width; ++x) {
        grey[x] = 0.299f * row.red[x] + 0.587f * row.green[x] + 0.114f * row.blue[x];
        brightest[x] = std::max({row.red[x], row.green[x], row.blue[x]});
      }
    }
    if (y / reduction >= scan->copy.red.height) continue;  // a rest that fills no row of the copy
    float *red = scan->copy.red.row(y / reduction), *green = scan->copy.green.row(y / reduction),
          *blue = scan->copy.blue.row(y / reduction);
    for (int cx = 0, x = 0; cx < scan->copy.red.width; ++cx)
      for (int i = 0; i < reduction && x < width; ++i, ++x)
        red[cx] += share * row.red[x], green[cx] += share * row.green[x], blue[cx] += share * row.blue[x];
  }
}

// Colour in a scan of graphite is noise of the sensor, below 3 % of the range on 99.9 % of pixels.
bool has_colour(const Scan& scan) {
  std::size_t coloured = 0;
  for (std::size_t i = 0; i < scan.grey.values.size(); ++i)
    coloured += scan.brightest.values[i] - scan.grey.values[i] > 0.03f;
  return coloured > scan.grey.values.size() / 1000;
}

constexpr double copy_side_px = 400;

}  // namespace

int copy_reduction(int width, int height) {
  return std::max(1, int(std::lround(std::max(width, height) / copy_side_px)));
}

Result<Scan> load_scan(const ImageView& image, const Progress& progress, int threads, int of_scan) {
  const Layout layout = layout_of(image.format);
  if (auto error = check_view(image, layout)) return *error;
  Scan scan;
  const int width = (image.width + of_scan - 1) / of_scan, height = (image.height + of_scan - 1) / of_scan;
  scan.grey = Plane<float>(width, height);
  if (layout.samples > 1) scan.brightest = Plane<float>(width, height);
  const int reduction = copy_reduction(width, height);
  const Plane<float> empty_copy(std::max(1, width / reduction), std::max(1, height / reduction));
  scan.copy = {empty_copy, empty_copy, empty_copy};
  GroundColours ground;
  if (image.mask) {
    ground = ground_around_mask(image, layout, progress.stop_token());
    if (progress.stopped()) return progress.cancelled();
    scan.unread = Plane<std::uint8_t>(width, height, 1);  // where none of its pixels is read
    for (int y = 0; y < image.height; ++y)
      for (int x = 0; x < image.width; ++x)
        if (mask_row(image, y)[x]) scan.unread.at(x / of_scan, y / of_scan) = 0;
  }
  // Rows between two looks at whether to stop; a whole number of rows of the copy.
  const int strip_px = std::max(1, 256 / reduction) * reduction;
  const auto read_strip = [&](std::size_t strip) {
    const int y = int(strip) * strip_px;
    if (!progress.stopped())
      read_rows(image, layout, ground, y, std::min(height, y + strip_px), of_scan, reduction, &scan);
  };
  share_out(std::size_t((height + strip_px - 1) / strip_px), threads, read_strip, [](std::size_t) {});
  if (progress.stopped()) return progress.cancelled();
  if (layout.samples > 1 && !has_colour(scan)) scan.brightest = {};
  progress.advance(1);
  return scan;
}

}  // namespace batten
