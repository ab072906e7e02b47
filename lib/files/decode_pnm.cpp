// Reads portable bit-, grey- and pixmaps, P1..P6, plain and raw, up to 16 bits
// (https://netpbm.sourceforge.net/doc/pnm.html). The reference library ends the program at any error, so this reader is
// our own.

#include <cstring>

#include "decoders.h"

namespace batten {
namespace {

struct Reader {
  Bytes bytes;
  std::size_t at = 2;  // after the magic number

  // Skips white space, and comments from # to the end of the line.
  void skip_blank() {
    for (; at < bytes.size(); ++at) {
      if (bytes[at] == '#')
        while (at + 1 < bytes.size() && bytes[at] != '\n' && bytes[at] != '\r') ++at;
      else if (!std::strchr(" \t\r\n\v\f", bytes[at]) || bytes[at] == 0)
        return;
    }
  }

  // Reads a whole number in decimal, or nothing.
  std::optional<std::uint32_t> number() {
    skip_blank();
    if (at >= bytes.size() || bytes[at] < '0' || bytes[at] > '9') return std::nullopt;
    std::uint64_t value = 0;
    for (; at < bytes.size() && bytes[at] >= '0' && bytes[at] <= '9'; ++at) {
      value = value * 10 + (bytes[at] - '0');
      if (value > 0xffffffffu) return std::nullopt;
    }
    return static_cast<std::uint32_t>(value);
  }

  // A plain bitmap's digits need no space between them.
  std::optional<std::uint32_t> bit() {
    skip_blank();
    if (at >= bytes.size() || (bytes[at] != '0' && bytes[at] != '1')) return std::nullopt;
    return bytes[at++] - '0';
  }
};

struct Header {
  bool plain = false, bits = false;
  int channels = 1;
  std::uint32_t width = 0, height = 0, largest = 1;
};

bool parse(Reader& reader, Header& h) {
  const int kind = reader.bytes[1] - '0';
  h.plain = kind <= 3, h.bits = kind == 1 || kind == 4, h.channels = kind == 3 || kind == 6 ? 3 : 1;
  const auto width = reader.number(), height = reader.number();
  if (!width || !height) return false;
  h.width = *width, h.height = *height;
  if (!h.bits) {
    const auto largest = reader.number();
    if (!largest || *largest == 0 || *largest > 65535) return false;
    h.largest = *largest;
  }
  ++reader.at;  // one white space before the raster
  return reader.at <= reader.bytes.size();
}

std::uint64_t raw_row_bytes(const Header& h) {
  if (h.bits) return (std::uint64_t{h.width} + 7) / 8;
  return std::uint64_t{h.width} * static_cast<unsigned>(h.channels) * (h.largest > 255 ? 2 : 1);
}

// Sample i of a raw row. A set bit is black.
std::uint32_t raw_sample(const std::uint8_t* row, const Header& h, std::size_t i) {
  if (h.bits) return !(row[i / 8] >> (7 - i % 8) & 1);
  return h.largest > 255 ? row[2 * i] << 8 | row[2 * i + 1] : row[i];
}

std::optional<std::uint32_t> plain_sample(Reader& reader, const Header& h) {
  if (!h.bits) return reader.number();
  const auto bit = reader.bit();
  return bit ? std::optional(1 - *bit) : std::nullopt;
}

void store(std::uint8_t* row, std::size_t i, std::uint32_t sample, const Header& h) {
  const bool deep = h.largest > 255;
  const std::uint64_t full = deep ? 65535 : 255;
  const std::uint64_t value = (std::min(sample, h.largest) * full + h.largest / 2) / h.largest;
  if (deep) {
    const auto native = static_cast<std::uint16_t>(value);
    std::memcpy(row + 2 * i, &native, 2);
  } else {
    row[i] = static_cast<std::uint8_t>(value);
  }
}

}  // namespace

Result<Decoded> decode_pnm(const Source& source) {
  Reader reader{source.bytes};
  Header h;
  if (!parse(reader, h)) return damaged(source, "PNM", "its header makes no sense");
  if (auto error = check_size(source, "PNM", h.width, h.height)) return *error;
  const std::uint64_t left = source.bytes.size() - reader.at;
  const std::uint64_t samples = std::uint64_t{h.width} * h.height * static_cast<unsigned>(h.channels);
  // A plain sample takes a digit at least; raw rows have a fixed length.
  if (h.plain ? samples > left : raw_row_bytes(h) * h.height > left) return damaged(source, "PNM", "");

  Decoded decoded;
  const bool deep = h.largest > 255, colour = h.channels == 3;
  allocate(
      decoded.picture, h.width, h.height,
      colour ? (deep ? PixelFormat::rgb16 : PixelFormat::rgb8) : (deep ? PixelFormat::gray16 : PixelFormat::gray8));
  for (std::uint32_t y = 0; y < h.height; ++y) {
    std::uint8_t* row = decoded.picture.bytes.data() + y * decoded.picture.stride_bytes;
    const std::uint8_t* raw = source.bytes.data() + reader.at + (h.plain ? 0 : raw_row_bytes(h) * y);
    for (std::size_t i = 0; i < std::size_t{h.width} * static_cast<std::size_t>(h.channels); ++i) {
      const auto sample = h.plain ? plain_sample(reader, h) : std::optional(raw_sample(raw, h, i));
      if (!sample) return damaged(source, "PNM", "");
      store(row, i, *sample, h);
    }
  }
  return decoded;
}

}  // namespace batten
