// Reading: what the formats' own libraries wrote comes back sample for sample, upright, with its resolution. Bad files
// are in read_bad_picture_test.cpp.

#include <gtest/gtest.h>

#include "batten/files.h"
#include "support/encode.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

Result<Picture> read(const std::string& bytes) {
  const Scratch scratch;
  return read_picture(scratch.put("scan", bytes));
}

void expect_same(const std::string& bytes, const Raster& expected, const std::string& what) {
  const Result<Picture> picture = read(bytes);
  ASSERT_TRUE(picture.ok()) << what << ": " << picture.error().message;
  const Raster got = raster_of(*picture);
  EXPECT_EQ(got.width, expected.width) << what;
  EXPECT_EQ(got.height, expected.height) << what;
  EXPECT_EQ(got.channels, expected.channels) << what;
  EXPECT_EQ(got.bits, expected.bits) << what;
  EXPECT_EQ(got.samples, expected.samples) << what;
}

// Grey (and alpha) as RGB(A).
Raster as_colour(const Raster& raster) {
  const bool alpha = raster.channels == 2;
  Raster out{raster.width, raster.height, alpha ? 4 : 3, raster.bits, {}};
  for (std::size_t i = 0; i < raster.samples.size(); i += static_cast<std::size_t>(raster.channels)) {
    out.samples.insert(out.samples.end(), 3, raster.samples[i]);
    if (alpha) out.samples.push_back(raster.samples[i + 1]);
  }
  return out;
}

TEST(ReadPicture, PngOfEveryKindComesBackExactly) {
  for (const int bits : {8, 16})
    for (const int channels : {1, 2, 3, 4})
      for (const bool interlaced : {false, true}) {
        const Raster raster = pattern(13, 7, channels, bits);
        const std::string what = std::to_string(channels) + " channels of " + std::to_string(bits) + " bits";
        expect_same(png(raster, {.interlaced = interlaced}), channels == 2 ? as_colour(raster) : raster, what);
      }
}

TEST(ReadPicture, PngOfFewBitsIsSpreadOverTheWholeRange) {
  for (const int bits : {1, 2, 4}) {
    const Raster raster = pattern(13, 7, 1, bits);
    Raster expected = raster;
    expected.bits = 8;
    for (std::uint16_t& sample : expected.samples)
      sample = static_cast<std::uint16_t>(sample * 255 / ((1 << bits) - 1));
    expect_same(png(raster), expected, std::to_string(bits) + " bits");
  }
}

TEST(ReadPicture, TiffOfEveryKindComesBackExactly) {
  for (const int bits : {8, 16})
    for (const int channels : {1, 3, 4})
      for (const bool compressed : {false, true})
        expect_same(tiff(pattern(13, 7, channels, bits), {.compressed = compressed}), pattern(13, 7, channels, bits),
                    std::to_string(channels) + " channels of " + std::to_string(bits) + " bits");
}

TEST(ReadPicture, TiffWhereZeroIsWhiteIsTurnedRound) {
  for (const int bits : {8, 16}) {
    Raster expected = pattern(13, 7, 1, bits);
    for (std::uint16_t& sample : expected.samples) sample = static_cast<std::uint16_t>((1 << bits) - 1 - sample);
    expect_same(tiff(pattern(13, 7, 1, bits), {.inverted = true}), expected, std::to_string(bits) + " bits");
  }
}

TEST(ReadPicture, TiffInTilesComesBackAsRgb) {
  expect_same(tiff(pattern(13, 7, 3, 8), {.tiled = true}), pattern(13, 7, 3, 8), "colour");
  expect_same(tiff(pattern(13, 7, 1, 8), {.tiled = true}), as_colour(pattern(13, 7, 1, 8)), "grey");
}

TEST(ReadPicture, WebpAndBmpComeBackExactly) {
  for (const int channels : {3, 4}) {
    Raster raster = pattern(13, 7, channels, 8);
    expect_same(bmp(raster), raster, "bmp of " + std::to_string(channels));
    if (channels == 4)  // colours under full transparency need not survive
      for (std::size_t i = 3; i < raster.samples.size(); i += 4) raster.samples[i] |= 1;
    expect_same(webp(raster), raster, "webp of " + std::to_string(channels));
  }
}

TEST(ReadPicture, BmpWithPaletteFromTheTopDown) {
  // 2 x 2 px of 8 bits, height negative: the first row stored is the upper one. Palette: black, red, white.
  std::string file = "BM";
  const auto put = [&](std::uint64_t value, int bytes) {
    for (int i = 0; i < bytes; ++i) file += static_cast<char>(value >> 8 * i);
  };
  put(0, 8), put(14 + 40 + 12, 4), put(40, 4), put(2, 4), put(static_cast<std::uint32_t>(-2), 4), put(1, 2), put(8, 2);
  put(0, 8), put(0, 8), put(3, 4), put(0, 4);
  put(0x000000, 4), put(0xff0000, 4), put(0xffffff, 4);
  file += std::string("\0\1\0\0\2\0\0\0", 8);
  expect_same(file, {2, 2, 3, 8, {0, 0, 0, 255, 0, 0, 255, 255, 255, 0, 0, 0}}, "palette");
}

TEST(ReadPicture, PnmOfEveryKindComesBackExactly) {
  for (const bool plain : {false, true}) {
    for (const int bits : {8, 16})
      for (const int channels : {1, 3})
        expect_same(pnm(pattern(13, 7, channels, bits), plain), pattern(13, 7, channels, bits),
                    plain ? "plain" : "raw");
    Raster expected = pattern(13, 7, 1, 1);
    expected.bits = 8;
    for (std::uint16_t& sample : expected.samples) sample = static_cast<std::uint16_t>(sample * 255);
    expect_same(pnm(pattern(13, 7, 1, 1), plain), expected, "bitmap");
  }
}

// Flat areas of 16 x 16 px, so that JPEG's own loss stays small and every turn shows.
Raster patches(int channels) {
  Raster raster{48, 32, channels, 8, {}};
  raster.samples.resize(static_cast<std::size_t>(48 * 32 * channels));
  for (int y = 0; y < 32; ++y)
    for (int x = 0; x < 48; ++x)
      for (int c = 0; c < channels; ++c)
        raster.at(x, y, c) = static_cast<std::uint16_t>(40 + 30 * (x / 16) + 90 * (y / 16) + (c == 1 ? 20 : 0));
  return raster;
}

void expect_near(const Result<Picture>& picture, const Raster& expected, const std::string& what) {
  ASSERT_TRUE(picture.ok()) << what << ": " << picture.error().message;
  const Raster got = raster_of(*picture);
  ASSERT_EQ(got.samples.size(), expected.samples.size()) << what;
  ASSERT_EQ(got.width, expected.width) << what;
  for (std::size_t i = 0; i < got.samples.size(); ++i)
    ASSERT_NEAR(got.samples[i], expected.samples[i], 4) << what << " sample " << i;
}

TEST(ReadPicture, JpegComesBackWithinItsLoss) {
  for (const int channels : {1, 3})
    for (const bool progressive : {false, true})
      expect_near(read(jpeg(patches(channels), {.interlaced = progressive})), patches(channels), "jpeg");
}

TEST(ReadPicture, JpegOfFourInksComesBackAsRgb) {
  Raster inks = patches(4);
  for (std::size_t i = 3; i < inks.samples.size(); i += 4) inks.samples[i] = 255;  // stored inverted: no black ink
  Raster expected = patches(3);
  expect_near(read(jpeg(inks)), expected, "four inks");
}

TEST(ReadPicture, EveryOrientationIsTurnedUpright) {
  const Raster exact = pattern(5, 3, 3, 8), soft = patches(3);
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const std::string what = "orientation " + std::to_string(orientation);
    for (const bool big : {false, true}) {
      const Extras extras{.orientation = orientation, .big_endian = big};
      expect_near(read(jpeg(stored_for(soft, orientation), extras)), soft, "jpeg " + what);
      expect_same(png(stored_for(exact, orientation), extras), exact, "png " + what);
      expect_same(webp(stored_for(exact, orientation), extras), exact, "webp " + what);
    }
    expect_same(tiff(stored_for(exact, orientation), {.orientation = orientation}), exact, "tiff " + what);
    expect_same(tiff(stored_for(exact, orientation), {.orientation = orientation, .tiled = true}), exact,
                "tiled tiff " + what);
    const Raster deep = pattern(5, 3, 1, 16);
    expect_same(tiff(stored_for(deep, orientation), {.orientation = orientation}), deep, "16-bit tiff " + what);
  }
}

TEST(ReadPicture, ResolutionComesFromTheFile) {
  const Raster raster = pattern(5, 3, 3, 8);
  for (const double dpi : {150.0, 300.0, 600.0, 1200.0}) {
    for (const bool in_exif : {false, true}) {
      const Extras extras{.dpi = dpi, .in_exif = in_exif};
      EXPECT_DOUBLE_EQ(read(png(raster, extras))->dpi, dpi);
      EXPECT_DOUBLE_EQ(read(jpeg(raster, extras))->dpi, dpi);
      EXPECT_NEAR(read(tiff(raster, extras))->dpi, dpi, 1e-3);
    }
    EXPECT_DOUBLE_EQ(read(webp(raster, {.dpi = dpi, .in_exif = true}))->dpi, dpi);
    EXPECT_DOUBLE_EQ(read(bmp(raster, {.dpi = dpi}))->dpi, dpi);
  }
  for (const std::string& file : {png(raster), jpeg(raster), tiff(raster), webp(raster), bmp(raster), pnm(raster)})
    EXPECT_EQ(read(file)->dpi, 0);
}

// EXIF 2.3, 4.6.4: 72 is what a camera writes where the resolution is unknown.
TEST(ReadPicture, ExifSeventyTwoMeansUnknown) {
  EXPECT_EQ(read(jpeg(pattern(5, 3, 3, 8), {.orientation = 1}))->dpi, 0);
}

TEST(ReadPicture, WhatToPngWritesComesBack) {
  for (const int bits : {8, 16})
    for (const int channels : {1, 3, 4}) {
      const Raster raster = pattern(13, 7, channels, bits);
      const Result<Picture> picture = read(png(raster));
      ASSERT_TRUE(picture.ok());
      const Result<std::string> written = to_png(picture->view(), 300);
      ASSERT_TRUE(written.ok());
      expect_same(*written, raster, "to_png");
      EXPECT_EQ(read(*written)->dpi, 300);
    }
}

}  // namespace
}  // namespace batten
