#pragma once
// Declares one decoder for each format: it turns the bytes of a file into the picture as it is stored. read_picture()
// then turns it the right way up.

#include <cstdint>
#include <span>
#include <string>

#include "batten/error.h"
#include "batten/files.h"

namespace batten {

using Bytes = std::span<const std::uint8_t>;

/// A picture as stored, and how it has to be turned: 1..8 as in EXIF and TIFF 6.0 (tag 274), 1 for the right way up.
struct Decoded {
  Picture picture;
  int orientation = 1;
};

/// What a decoder needs to know for its errors and limits.
struct Source {
  Bytes bytes;
  std::string path;  ///< for messages
  ReadOptions limits = {};
};

Result<Decoded> decode_png(const Source& source);
Result<Decoded> decode_jpeg(const Source& source);
Result<Decoded> decode_tiff(const Source& source);
Result<Decoded> decode_webp(const Source& source);
Result<Decoded> decode_bmp(const Source& source);
Result<Decoded> decode_pnm(const Source& source);

/// The sentence for a file that is cut short or damaged; `detail` is what the codec says; it may be empty.
Error damaged(const Source& source, const char* format, const std::string& detail);
/// The sentence for a variant of a format that is not read here; `what` completes "This ... ".
Error unsupported(const Source& source, const std::string& what);
/// An error if the size that a header names is empty or over the limit. To be called before anything is allocated.
std::optional<Error> check_size(const Source& source, const char* format, std::uint64_t width, std::uint64_t height);

/// Bytes of one pixel.
int bytes_per_pixel(PixelFormat format);
/// Sets size, format and stride and allocates the bytes. The size must have been checked.
void allocate(Picture& picture, std::uint64_t width, std::uint64_t height, PixelFormat format);

/// Pixels per inch from two densities in pixels per inch; 0 where they are no density or the pixels are not square.
double dpi_of(double horizontal, double vertical);
/// The same from whole dots per metre (PNG, BMP): 11811 a metre is meant as 300 dpi, not 299.9994.
double dpi_of_metre(std::uint32_t horizontal, std::uint32_t vertical);

}  // namespace batten
