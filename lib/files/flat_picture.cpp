#include "flat_picture.h"

#include <cmath>
#include <cstring>

#include "decoders.h"

namespace batten {
namespace {

// Sample i of a row as 0..1.
double sample(const std::uint8_t* row, std::size_t i, bool deep) {
  if (!deep) return row[i] / 255.0;
  std::uint16_t value;
  std::memcpy(&value, row + 2 * i, 2);
  return value / 65535.0;
}

}  // namespace

FlatPicture flattened(const Picture& picture) {
  const bool deep = picture.format == PixelFormat::gray16 || picture.format == PixelFormat::rgb16 ||
                    picture.format == PixelFormat::rgba16;
  const std::size_t channels = static_cast<std::size_t>(bytes_per_pixel(picture.format)) / (deep ? 2 : 1);
  FlatPicture flat{picture.width, picture.height, {}};
  flat.rgb.resize(std::size_t(3) * std::size_t(picture.width) * std::size_t(picture.height));
  std::uint8_t* out = flat.rgb.data();
  for (int y = 0; y < picture.height; ++y) {
    const std::uint8_t* row = picture.bytes.data() + y * picture.stride_bytes;
    for (std::size_t x = 0; x < std::size_t(picture.width); ++x) {
      const double alpha = channels == 4 ? sample(row, x * 4 + 3, deep) : 1;
      for (std::size_t c = 0; c < 3; ++c) {
        const double value = sample(row, x * channels + (channels == 1 ? 0 : c), deep);
        *out++ = static_cast<std::uint8_t>(std::lround(255 * (value * alpha + 1 - alpha)));
      }
    }
  }
  return flat;
}

FlatPicture reduced(FlatPicture picture, double most_pixels) {
  const double pixels = double(picture.width) * picture.height;
  const int side = static_cast<int>(std::ceil(std::sqrt(pixels / most_pixels)));
  if (side <= 1) return picture;
  FlatPicture out{(picture.width + side - 1) / side, (picture.height + side - 1) / side, {}};
  out.rgb.reserve(std::size_t(3) * std::size_t(out.width) * std::size_t(out.height));
  for (int y = 0; y < out.height; ++y)
    for (int x = 0; x < out.width; ++x)
      for (int c = 0; c < 3; ++c) {
        unsigned sum = 0, count = 0;
        for (int v = y * side; v < std::min(picture.height, (y + 1) * side); ++v)
          for (int u = x * side; u < std::min(picture.width, (x + 1) * side); ++u, ++count)
            sum += picture.rgb[3 * (std::size_t(v) * std::size_t(picture.width) + std::size_t(u)) + std::size_t(c)];
        out.rgb.push_back(static_cast<std::uint8_t>((sum + count / 2) / count));
      }
  return out;
}

}  // namespace batten
