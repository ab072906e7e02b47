// Gives all decoders their limits, sentences and allocation.

#include "decoders.h"

#include <algorithm>
#include <cmath>

#include "batten/write.h"

namespace batten {

Error damaged(const Source& source, const char* format, const std::string& detail) {
  const std::string said = detail.empty() ? "" : " (" + detail + ")";
  return {ErrorCode::image_truncated,
          source.path + " is a " + format + " that is cut short or damaged" + said + ": copy, scan or export it again.",
          source.path};
}

Error unsupported(const Source& source, const std::string& what) {
  return {ErrorCode::not_an_image, source.path + " is " + what + ", which is not read here: export it as PNG.",
          source.path};
}

std::optional<Error> check_size(const Source& source, const char* format, std::uint64_t width, std::uint64_t height) {
  if (width == 0 || height == 0) return damaged(source, format, "it has no pixels");
  constexpr int most = 1 << 30;  // so that sums of two sides fit an int
  const int longest_side = std::min(source.limits.longest_side_px, most);
  const auto too_large = [&](const std::string& limit, const std::string& advice) {
    return Error{ErrorCode::image_too_large,
                 source.path + " is " + std::to_string(width) + " x " + std::to_string(height) + " px, " + limit +
                     ": scan at a lower resolution or " + advice + ".",
                 source.path};
  };
  const double pixels = static_cast<double>(width) * static_cast<double>(height);
  if (pixels > source.limits.max_megapixels * 1e6)
    return too_large("over the limit of " + std::to_string(std::llround(source.limits.max_megapixels)) + " megapixels",
                     "cut it into parts");
  if (std::max(width, height) > static_cast<std::uint64_t>(longest_side))
    return too_large("over the limit of " + std::to_string(longest_side) + " px a side", "cut it into parts");
  // A picture takes 8 bytes a pixel at most; the file is in memory already.
  const double tracing =
      source.limits.for_a_part ? 0 : memory_needed(static_cast<int>(width), static_cast<int>(height));
  const double bytes = 8 * pixels + tracing + static_cast<double>(source.bytes.size());
  if (bytes <= source.limits.most_memory_bytes) return std::nullopt;
  constexpr double mega = 1e6;
  return too_large("for which up to " + decimal(bytes / mega, 0) + " MB of memory are needed, and " +
                       decimal(source.limits.most_memory_bytes / mega, 0) + " MB may be used",
                   "trace a part of it with a crop");
}

int bytes_per_pixel(PixelFormat format) {
  switch (format) {
    case PixelFormat::gray8:
      return 1;
    case PixelFormat::gray16:
      return 2;
    case PixelFormat::rgb8:
    case PixelFormat::bgr8:
      return 3;
    case PixelFormat::rgba8:
    case PixelFormat::bgra8:
    case PixelFormat::rgba8_premultiplied:
    case PixelFormat::bgra8_premultiplied:
      return 4;
    case PixelFormat::rgb16:
    case PixelFormat::bgr16:
      return 6;
    case PixelFormat::rgba16:
    case PixelFormat::bgra16:
    case PixelFormat::rgba16_premultiplied:
    case PixelFormat::bgra16_premultiplied:
      return 8;
  }
  return 0;
}

void allocate(Picture& picture, std::uint64_t width, std::uint64_t height, PixelFormat format) {
  picture.width = static_cast<int>(width);
  picture.height = static_cast<int>(height);
  picture.format = format;
  picture.stride_bytes = static_cast<std::ptrdiff_t>(width) * bytes_per_pixel(format);
  picture.bytes.resize(static_cast<std::size_t>(picture.stride_bytes) * height);
}

double dpi_of(double horizontal, double vertical) {
  if (!std::isfinite(horizontal) || !std::isfinite(vertical)) return 0;
  // No scanner works below 1 or above 100,000 dpi: such a number is a mistake.
  if (horizontal < 1 || vertical < 1 || horizontal > 1e5 || vertical > 1e5) return 0;
  // 1 % is more than whole dots per cm or metre are rounded by, and less than the pixels of any fax are oblong by.
  if (std::fabs(horizontal - vertical) > 0.01 * horizontal) return 0;
  return horizontal;
}

double dpi_of_metre(std::uint32_t horizontal, std::uint32_t vertical) {
  constexpr double metres_per_inch = 0.0254;
  const double dpi = dpi_of(horizontal * metres_per_inch, vertical * metres_per_inch);
  return std::fabs(dpi - std::round(dpi)) <= 0.5 * metres_per_inch ? std::round(dpi) : dpi;
}

}  // namespace batten
