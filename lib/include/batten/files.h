#pragma once
/// \file
/// Image files in, files and pictures out: the only part that touches image codecs (batten::batten_files).

#include <cstdint>
#include <string>
#include <vector>

#include "batten/convert.h"
#include "batten/error.h"

namespace batten {

/// A picture read from a file, turned upright as its orientation tag says.
struct Picture {
  std::vector<std::uint8_t> bytes;
  int width = 0, height = 0;
  PixelFormat format = PixelFormat::gray8;
  std::ptrdiff_t stride_bytes = 0;
  double dpi = 0;  ///< from the file; 0 where it does not say
  ImageView view() const { return {bytes.data(), width, height, stride_bytes, format}; }
};

struct ReadOptions {
  double max_megapixels = 400;  ///< checked against the header before anything is allocated
};

/// PNG, JPEG, TIFF, WebP, BMP, PNM; 8 or 16 bit; grey, colour, alpha. Errors: file_not_found, not_an_image,
/// image_truncated, image_too_large.
Result<Picture> read_picture(const std::string& path, const ReadOptions& options = {});

/// Writes to a temporary name beside `path` and renames: a failed run leaves no half-written file. Error: cannot_write.
std::optional<Error> write_file(const std::string& path, const std::string& bytes);

/// The outline, its nodes and handles painted over the scan, as PNG bytes. scale >= 1 enlarges the picture.
Result<std::string> draw_overlay(const Picture& picture, const Drawing& drawing, double scale = 2);

}  // namespace batten
