// TIFF whose strips are cut while the directory names what is left: fax and JPEG codecs only warn and fill up.

#include <gtest/gtest.h>
#include <tiffio.h>

#include <cmath>
#include <cstring>

#include "batten/files.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

constexpr int side = 128;

// A ring, black on white.
std::uint8_t grey_at(int x, int y) { return std::abs(std::hypot(x - 64.0, y - 64.0) - 45) < 3 ? 0 : 255; }

struct Codec {
  const char* name;
  int compression, rows_per_strip;
  bool one_bit;
};

std::string written(const Codec& codec, int pages = 1) {
  const Scratch scratch;
  const std::string name = scratch / "scan.tiff";
  TIFF* tiff = TIFFOpen(name.c_str(), "w");
  for (int page = 0; page < pages; ++page) {
    TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, side);
    TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, side);
    TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
    TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, codec.one_bit ? 1 : 8);
    TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, codec.one_bit ? PHOTOMETRIC_MINISWHITE : PHOTOMETRIC_MINISBLACK);
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, codec.compression);
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, codec.rows_per_strip);
    for (int y = 0; y < side; ++y) {
      std::vector<std::uint8_t> row(std::size_t(codec.one_bit ? side / 8 : side), 0);
      for (int x = 0; x < side; ++x) {
        if (!codec.one_bit) row[std::size_t(x)] = grey_at(x, y);
        if (codec.one_bit && grey_at(x, y) == 0) row[std::size_t(x / 8)] |= std::uint8_t(0x80 >> x % 8);
      }
      TIFFWriteScanline(tiff, row.data(), std::uint32_t(y), 0);
    }
    TIFFWriteDirectory(tiff);
  }
  TIFFClose(tiff);
  return contents(name);
}

template <class Number>
Number number_at(const std::string& bytes, std::size_t at) {
  Number n;
  std::memcpy(&n, bytes.data() + at, sizeof n);
  return n;
}

// Leaves so much of the last strip (TIFF 6.0, tag 279), as the directory of a file says that libtiff wrote here.
std::string cut(std::string bytes, double share) {
  const std::size_t directory = number_at<std::uint32_t>(bytes, 4);
  for (std::size_t i = 0; i < number_at<std::uint16_t>(bytes, directory); ++i) {
    const std::size_t entry = directory + 2 + 12 * i;
    if (number_at<std::uint16_t>(bytes, entry) != TIFFTAG_STRIPBYTECOUNTS) continue;
    const bool wide = number_at<std::uint16_t>(bytes, entry + 2) == TIFF_LONG;
    const std::size_t count = number_at<std::uint32_t>(bytes, entry + 4), size = wide ? 4 : 2;
    const std::size_t values = count * size <= 4 ? entry + 8 : number_at<std::uint32_t>(bytes, entry + 8);
    const std::size_t last = values + (count - 1) * size;
    const auto before = wide ? number_at<std::uint32_t>(bytes, last) : number_at<std::uint16_t>(bytes, last);
    const auto after = std::uint32_t(std::max(1.0, share * double(before)));
    std::memcpy(bytes.data() + last, &after, size);  // the machine of the test is little-endian, as its files are
  }
  return bytes;
}

const Codec codecs[] = {
    {"G3", COMPRESSION_CCITTFAX3, side, true},           {"G4", COMPRESSION_CCITTFAX4, side, true},
    {"G4 in strips", COMPRESSION_CCITTFAX4, 16, true},   {"JPEG", COMPRESSION_JPEG, side, false},
    {"JPEG in strips", COMPRESSION_JPEG, 16, false},     {"LZW", COMPRESSION_LZW, side, false},
    {"deflate", COMPRESSION_ADOBE_DEFLATE, side, false}, {"PackBits", COMPRESSION_PACKBITS, 32, false}};

TEST(ShortTiff, WholeOnesAreRead) {
  const Scratch scratch;
  for (const Codec& codec : codecs) {
    const auto picture = read_picture(scratch.put("scan.tif", written(codec)));
    ASSERT_TRUE(picture) << codec.name << picture.error().message;
    EXPECT_EQ(picture->pages, 1) << codec.name;
    const std::size_t centre = std::size_t(64 * picture->stride_bytes) + 64 * std::size_t(picture->stride_bytes / side);
    EXPECT_GT(picture->bytes[centre], 200) << codec.name;
  }
}

// What is lost may also be the mark of an end that follows the last row: then no pixel is missing.
TEST(ShortTiff, CutOnesAreRefusedWhateverTheirCodec) {
  const Scratch scratch;
  std::size_t refused = 0, whole = 0;
  for (const Codec& codec : codecs) {
    const auto right = read_picture(scratch.put("scan.tif", written(codec)));
    ASSERT_TRUE(right) << codec.name;
    for (const double share : {0.0, 0.14, 0.3, 0.5, 0.7, 0.85}) {
      const auto picture = read_picture(scratch.put("scan.tif", cut(written(codec), share)));
      if (picture) {
        EXPECT_EQ(picture->bytes, right->bytes) << codec.name << " cut to " << share;
        ++whole;
      } else {
        EXPECT_EQ(picture.error().code, ErrorCode::image_truncated) << codec.name << picture.error().message;
        ++refused;
      }
    }
  }
  EXPECT_GE(refused, 45u);
  EXPECT_LE(whole, 3u);
}

TEST(ShortTiff, PagesAreCounted) {
  const Scratch scratch;
  const auto picture = read_picture(scratch.put("scan.tif", written(codecs[1], 3)));
  ASSERT_TRUE(picture) << picture.error().message;
  EXPECT_EQ(picture->pages, 3);
}

}  // namespace
}  // namespace batten
