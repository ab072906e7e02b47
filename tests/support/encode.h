#pragma once
// Pictures of known content, written by the formats' own reference libraries (or by hand where a format is a header and
// rows), for the tests of reading.

#include <cstdint>
#include <string>
#include <vector>

#include "batten/files.h"

namespace batten::testing {

/// Samples 0..2^bits-1, side by side; 1 grey, 2 grey and alpha, 3 RGB, 4 RGBA.
struct Raster {
  int width = 0, height = 0, channels = 1, bits = 8;
  std::vector<std::uint16_t> samples;
  std::uint16_t& at(int x, int y, int c) { return samples[index(x, y, c)]; }
  std::uint16_t at(int x, int y, int c) const { return samples[index(x, y, c)]; }

 private:
  std::size_t index(int x, int y, int c) const {
    return (static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)) *
               static_cast<std::size_t>(channels) +
           static_cast<std::size_t>(c);
  }
};

/// No two pixels alike and no symmetry, so that every mix-up shows.
Raster pattern(int width, int height, int channels, int bits);
/// What a file holds whose orientation tag makes `upright` of it (TIFF 6.0, tag 274).
Raster stored_for(const Raster& upright, int orientation);
/// The samples of a picture that was read.
Raster raster_of(const Picture& picture);

struct Extras {
  int orientation = 0;      ///< 0: no tag
  double dpi = 0;           ///< 0: none
  bool in_exif = false;     ///< resolution in the EXIF block instead of the format's own place
  bool big_endian = false;  ///< of the EXIF block
  bool interlaced = false;  ///< PNG: Adam7; JPEG: progressive
  bool compressed = false;  ///< TIFF: deflate
  bool tiled = false;       ///< TIFF
  bool inverted = false;    ///< TIFF: 0 is white
};

std::string exif_block(const Extras& extras);  ///< from the TIFF header on, without "Exif\0\0"
std::string png(const Raster& raster, const Extras& extras = {});
std::string jpeg(const Raster& raster, const Extras& extras = {});  ///< quality 95; 4 channels are stored as inks
std::string tiff(const Raster& raster, const Extras& extras = {});
std::string webp(const Raster& raster, const Extras& extras = {});  ///< lossless
std::string bmp(const Raster& raster, const Extras& extras = {});   ///< 24 bits, 32 with alpha masks
std::string pnm(const Raster& raster, bool plain = false);          ///< bits 1: a bitmap

}  // namespace batten::testing
