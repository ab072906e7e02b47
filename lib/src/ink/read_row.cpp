#include "ink/read_row.h"

#include <algorithm>
#include <cstring>

namespace batten {
namespace {

template <class Sample>
float read(const unsigned char* at) {
  Sample value;
  std::memcpy(&value, at, sizeof value);  // rows need not be aligned
  return float(value) / float(Sample(~Sample(0)));
}

template <class Sample, int samples, bool premultiplied>
void read_samples(const unsigned char* in, int width, std::vector<float>* first, std::vector<float>* middle,
                  std::vector<float>* last) {
  float *to_first = first->data(), *to_middle = middle->data(), *to_last = last->data();
  for (int x = 0; x < width; ++x, in += samples * sizeof(Sample)) {
    float r = read<Sample>(in), g = read<Sample>(in + sizeof(Sample)), b = read<Sample>(in + 2 * sizeof(Sample));
    if constexpr (samples == 4) {
      const float a = read<Sample>(in + 3 * sizeof(Sample));
      // What is missing to white; both give the same bits where alpha is full.
      if constexpr (premultiplied)
        r = 1 - std::max(0.f, a - r), g = 1 - std::max(0.f, a - g), b = 1 - std::max(0.f, a - b);
      else
        r = 1 - a * (1 - r), g = 1 - a * (1 - g), b = 1 - a * (1 - b);
    }
    to_first[x] = r, to_middle[x] = g, to_last[x] = b;
  }
}

template <class Sample>
void read_grey(const unsigned char* in, int width, Row* row) {
  for (int x = 0; x < width; ++x, in += sizeof(Sample))
    row->red[std::size_t(x)] = row->green[std::size_t(x)] = row->blue[std::size_t(x)] = read<Sample>(in);
}

template <class Sample>
void read_as(const unsigned char* in, const Layout& layout, int width, Row* row) {
  std::vector<float>*first = &row->red, *last = &row->blue;
  if (layout.blue_first) std::swap(first, last);
  if (layout.samples == 1)
    read_grey<Sample>(in, width, row);
  else if (layout.samples == 3)
    read_samples<Sample, 3, false>(in, width, first, &row->green, last);
  else if (layout.premultiplied)
    read_samples<Sample, 4, true>(in, width, first, &row->green, last);
  else
    read_samples<Sample, 4, false>(in, width, first, &row->green, last);
}

}  // namespace

Layout layout_of(PixelFormat format) {
  switch (format) {
    case PixelFormat::gray8:
      return {1, 1};
    case PixelFormat::gray16:
      return {1, 2};
    case PixelFormat::rgb8:
      return {3, 1};
    case PixelFormat::rgba8:
      return {4, 1};
    case PixelFormat::rgb16:
      return {3, 2};
    case PixelFormat::rgba16:
      return {4, 2};
    case PixelFormat::bgr8:
      return {3, 1, true};
    case PixelFormat::bgra8:
      return {4, 1, true};
    case PixelFormat::bgr16:
      return {3, 2, true};
    case PixelFormat::bgra16:
      return {4, 2, true};
    case PixelFormat::rgba8_premultiplied:
      return {4, 1, false, true};
    case PixelFormat::bgra8_premultiplied:
      return {4, 1, true, true};
    case PixelFormat::rgba16_premultiplied:
      return {4, 2, false, true};
    case PixelFormat::bgra16_premultiplied:
      return {4, 2, true, true};
  }
  return {};
}

void read_row(const ImageView& image, const Layout& layout, int y, Row* row) {
  const unsigned char* in = static_cast<const unsigned char*>(image.pixels) + image.stride_bytes * y;
  if (layout.bytes == 1)
    read_as<std::uint8_t>(in, layout, image.width, row);
  else
    read_as<std::uint16_t>(in, layout, image.width, row);
}

}  // namespace batten
