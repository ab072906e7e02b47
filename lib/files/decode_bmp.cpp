// Reads Windows bitmaps without compression: 1, 4, 8 bits with a palette; 16, 24, 32 bits. Layout after Microsoft's
// documentation of BITMAPFILEHEADER, BITMAPINFOHEADER and BITMAPV4HEADER. A header and rows
// need no library of their own.

#include <array>
#include <bit>
#include <cstdlib>

#include "decoders.h"

namespace batten {
namespace {

std::uint32_t little(Bytes bytes, std::size_t at, int count) {
  std::uint32_t value = 0;
  for (int i = count - 1; i >= 0; --i) value = value << 8 | bytes[at + static_cast<std::size_t>(i)];
  return value;
}

struct Header {
  std::uint64_t width = 0, height = 0;
  bool bottom_up = true;
  int bits = 0;
  std::uint32_t compression = 0;
  std::size_t pixels_at = 0, palette_at = 0;
  std::size_t palette_entry = 4, palette_count = 0;
  std::array<std::uint32_t, 4> masks{};  // red, green, blue, alpha of 16 and 32 bits
  double dpi = 0;
};

constexpr std::uint32_t compression_none = 0, compression_masks = 3, compression_alpha_masks = 6;
constexpr std::size_t file_header = 14, core_header = 12, info_header = 40, v4_header = 108;

// False when the header itself is cut short.
bool parse(Bytes bytes, Header& h) {
  if (bytes.size() < file_header + core_header) return false;
  h.pixels_at = little(bytes, 10, 4);
  const std::size_t size = little(bytes, 14, 4);
  if (size == core_header) {
    h.width = little(bytes, 18, 2), h.height = little(bytes, 20, 2), h.bits = static_cast<int>(little(bytes, 24, 2));
    h.palette_entry = 3;
  } else {
    if (size < info_header || size > 4096 || bytes.size() < file_header + size) return false;
    const auto width = static_cast<std::int32_t>(little(bytes, 18, 4));
    const auto height = static_cast<std::int32_t>(little(bytes, 22, 4));
    h.width = width < 0 ? 0 : static_cast<std::uint64_t>(width);
    h.height = static_cast<std::uint64_t>(std::llabs(height));
    h.bottom_up = height > 0;
    h.bits = static_cast<int>(little(bytes, 28, 2));
    h.compression = little(bytes, 30, 4);
    h.palette_count = little(bytes, 46, 4);
    h.dpi = dpi_of_metre(little(bytes, 38, 4), little(bytes, 42, 4));
  }
  h.palette_at = file_header + size;
  if (h.bits == 16) h.masks = {0x7c00, 0x03e0, 0x001f, 0};
  if (h.bits == 32) h.masks = {0xff0000, 0x00ff00, 0x0000ff, 0};
  if (h.compression == compression_masks || h.compression == compression_alpha_masks) {
    const bool alpha = size >= v4_header || h.compression == compression_alpha_masks;
    const std::size_t count = alpha ? 4 : 3;
    if (bytes.size() < file_header + info_header + 4 * count) return false;
    for (std::size_t i = 0; i < count; ++i) h.masks[i] = little(bytes, file_header + info_header + 4 * i, 4);
    if (size == info_header) h.palette_at += 4 * count;
  }
  return true;
}

bool supported(const Header& h) {
  const bool known_bits = h.bits == 1 || h.bits == 4 || h.bits == 8 || h.bits == 16 || h.bits == 24 || h.bits == 32;
  const bool masked = h.compression == compression_masks || h.compression == compression_alpha_masks;
  return known_bits && (h.compression == compression_none || (masked && (h.bits == 16 || h.bits == 32)));
}

// The bits under a mask, scaled to 0..255.
std::uint8_t channel(std::uint32_t value, std::uint32_t mask) {
  if (mask == 0) return 0;
  const int shift = std::countr_zero(mask);
  const std::uint64_t largest = mask >> shift;
  return static_cast<std::uint8_t>(((value & mask) >> shift) * 255ull / largest);
}

struct Palette {
  std::array<std::array<std::uint8_t, 3>, 256> rgb{};
};

bool read_palette(Bytes bytes, const Header& h, Palette& palette) {
  const std::size_t most = std::size_t{1} << h.bits;
  const std::size_t count = h.palette_count == 0 || h.palette_count > most ? most : h.palette_count;
  if (h.palette_at + count * h.palette_entry > bytes.size()) return false;
  for (std::size_t i = 0; i < count; ++i)
    for (std::size_t c = 0; c < 3; ++c) palette.rgb[i][c] = bytes[h.palette_at + i * h.palette_entry + 2 - c];
  return true;
}

void decode_row(const std::uint8_t* row, const Header& h, const Palette& palette, std::uint8_t* out) {
  const Bytes bytes(row, row + (h.width * static_cast<unsigned>(h.bits) + 7) / 8);
  const bool alpha = h.masks[3] != 0;
  for (std::size_t x = 0; x < h.width; ++x) {
    if (h.bits <= 8) {
      const std::size_t bit = x * static_cast<std::size_t>(h.bits);
      const int index = bytes[bit / 8] >> (8 - h.bits - static_cast<int>(bit % 8)) & ((1 << h.bits) - 1);
      for (const std::uint8_t c : palette.rgb[static_cast<std::size_t>(index)]) *out++ = c;
    } else if (h.bits == 24) {
      for (std::size_t c = 0; c < 3; ++c) *out++ = bytes[3 * x + 2 - c];
    } else {
      const int count = h.bits / 8;
      const std::uint32_t value = little(bytes, x * static_cast<std::size_t>(count), count);
      for (std::size_t c = 0; c < (alpha ? 4u : 3u); ++c) *out++ = channel(value, h.masks[c]);
    }
  }
}

}  // namespace

Result<Decoded> decode_bmp(const Source& source) {
  Header h;
  if (!parse(source.bytes, h)) return damaged(source, "BMP", "");
  if (auto error = check_size(source, "BMP", h.width, h.height)) return *error;
  if (!supported(h)) return unsupported(source, "a compressed or unusual BMP");
  const std::uint64_t stride = (h.width * static_cast<unsigned>(h.bits) + 31) / 32 * 4;
  if (h.pixels_at > source.bytes.size() || stride * h.height > source.bytes.size() - h.pixels_at)
    return damaged(source, "BMP", "");
  Palette palette;
  if (h.bits <= 8 && !read_palette(source.bytes, h, palette)) return damaged(source, "BMP", "");

  Decoded decoded;
  allocate(decoded.picture, h.width, h.height, h.masks[3] ? PixelFormat::rgba8 : PixelFormat::rgb8);
  for (std::uint64_t y = 0; y < h.height; ++y) {
    const std::uint64_t stored = h.bottom_up ? h.height - 1 - y : y;
    decode_row(source.bytes.data() + h.pixels_at + stored * stride, h, palette,
               decoded.picture.bytes.data() + static_cast<std::ptrdiff_t>(y) * decoded.picture.stride_bytes);
  }
  decoded.picture.dpi = h.dpi;
  return decoded;
}

}  // namespace batten
