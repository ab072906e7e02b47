// Files that are no pictures, or lie, or are damaged: a sentence, never a crash, never a picture made up.

#include <gtest/gtest.h>

#include <filesystem>
#include <random>

#include "batten/files.h"
#include "support/encode.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
using namespace std::string_literals;

class ReadBadPicture : public ::testing::Test {
 protected:
  Result<Picture> read(const std::string& bytes, const ReadOptions& options = {}) {
    return read_picture(scratch_.put("scan", bytes), options);
  }
  // The error of reading `bytes`; ErrorCode::ok when there is none.
  Error error_of(const std::string& bytes, const ReadOptions& options = {}) {
    const Result<Picture> picture = read(bytes, options);
    return picture ? Error{ErrorCode::ok, "read without complaint", ""} : picture.error();
  }
  Scratch scratch_;
};

struct Named {
  const char* name;
  std::string bytes;
};

std::vector<Named> one_of_each() {
  const Raster colour = pattern(19, 11, 3, 8), grey = pattern(19, 11, 1, 8);
  return {{"png", png(colour)},
          {"interlaced png", png(grey, {.interlaced = true})},
          {"jpeg", jpeg(colour)},
          {"grey jpeg", jpeg(grey)},
          {"progressive jpeg", jpeg(colour, {.interlaced = true})},
          {"webp", webp(colour)},
          {"webp with exif", webp(colour, {.orientation = 6})},
          {"tiff", tiff(colour)},
          {"deflated tiff", tiff(grey, {.compressed = true})},
          {"bmp", bmp(colour)},
          {"raw pnm", pnm(colour)}};
}

void put_big_endian(std::string& bytes, std::size_t at, std::uint32_t value) {
  for (int i = 0; i < 4; ++i) bytes[at + static_cast<std::size_t>(i)] = static_cast<char>(value >> (24 - 8 * i));
}

// CRC-32 of PNG chunks (https://www.w3.org/TR/png/#D-CRCAppendix).
std::uint32_t crc(const std::string& bytes) {
  std::uint32_t c = 0xffffffffu;
  for (const char b : bytes) {
    c ^= static_cast<std::uint8_t>(b);
    for (int i = 0; i < 8; ++i) c = c & 1 ? 0xedb88320u ^ c >> 1 : c >> 1;
  }
  return ~c;
}

std::string png_claiming(std::uint32_t width, std::uint32_t height) {
  std::string bytes = png(pattern(3, 3, 1, 8));
  put_big_endian(bytes, 16, width);
  put_big_endian(bytes, 20, height);
  put_big_endian(bytes, 29, crc(bytes.substr(12, 17)));
  return bytes;
}

std::string jpeg_claiming(std::uint16_t width, std::uint16_t height) {
  std::string bytes = jpeg(pattern(16, 16, 1, 8));
  const std::size_t frame = bytes.find("\xff\xc0"s);
  for (const auto& [offset, value] : {std::pair{5, height}, std::pair{7, width}}) {
    bytes[frame + static_cast<std::size_t>(offset)] = static_cast<char>(value >> 8);
    bytes[frame + static_cast<std::size_t>(offset) + 1] = static_cast<char>(value);
  }
  return bytes;
}

TEST_F(ReadBadPicture, EveryCutIsNoticed) {
  for (const Named& file : one_of_each()) {
    ASSERT_TRUE(read(file.bytes).ok()) << file.name << ": " << read(file.bytes).error().message;
    const std::size_t size = file.bytes.size();
    // Every length near both ends, where the headers and the end marks are; every seventh between.
    for (std::size_t length = 0; length < size; length += length < 50 || length + 50 > size ? 1 : 7) {
      const Error error = error_of(file.bytes.substr(0, length));
      ASSERT_NE(error.code, ErrorCode::ok) << file.name << " cut to " << length << " of " << file.bytes.size();
      if (length >= 64) {
        ASSERT_EQ(error.code, ErrorCode::image_truncated) << file.name << " at " << length << ": " << error.message;
      }
      ASSERT_EQ(error.message.find('\n'), std::string::npos);
    }
  }
}

TEST_F(ReadBadPicture, LongerPngAndJpegCutAtManyPlaces) {
  for (const std::string& whole : {png(pattern(300, 200, 3, 8)), jpeg(pattern(300, 200, 3, 8)),
                                   jpeg(pattern(300, 200, 1, 8), {.interlaced = true})})
    for (int percent = 1; percent < 100; percent += 3)
      ASSERT_EQ(error_of(whole.substr(0, whole.size() * static_cast<std::size_t>(percent) / 100)).code,
                ErrorCode::image_truncated);
}

// What is read after a byte has changed may differ, but it is a picture of a sound shape or an error.
TEST_F(ReadBadPicture, RandomDamageNeverCrashes) {
  std::mt19937 random(20240611);
  int errors = 0, pictures = 0;
  for (const Named& file : one_of_each())
    for (int round = 0; round < 100; ++round) {
      std::string bytes = file.bytes;
      for (int flips = 1 + static_cast<int>(random() % 4); flips > 0; --flips)
        bytes[random() % bytes.size()] = static_cast<char>(random());
      const Result<Picture> picture = read(bytes, {.max_megapixels = 4});
      ++(picture ? pictures : errors);
      if (!picture) continue;
      ASSERT_GE(picture->width, 1);
      ASSERT_GE(picture->height, 1);
      ASSERT_EQ(picture->bytes.size(), static_cast<std::size_t>(picture->stride_bytes * picture->height));
    }
  EXPECT_GT(errors, 200);  // the damage bit
  EXPECT_GT(pictures, 50);
}

TEST_F(ReadBadPicture, SizesOverTheLimitAreRefusedFromTheHeader) {
  std::string tall_tiff = tiff(pattern(19, 11, 1, 8)), tall_bmp = bmp(pattern(19, 11, 3, 8));
  for (std::string* bytes : {&tall_bmp})
    for (const std::size_t at : {18u, 22u}) bytes->replace(at, 4, "\x30\x75\0\0"s);  // 30000, little-endian
  const std::string cases[] = {
      png_claiming(30000, 30000),  jpeg_claiming(30000, 30000),          tall_bmp,
      "P5 30000 30000 255\n12345", png_claiming(0x7fffffff, 0x7fffffff), "P6 4294967295 4294967295 255\n12345"};
  for (const std::string& bytes : cases) {
    const Error error = error_of(bytes);
    EXPECT_EQ(error.code, ErrorCode::image_too_large) << error.message;
    EXPECT_NE(error.message.find("400 megapixels"), std::string::npos) << error.message;
  }
  EXPECT_EQ(error_of(webp(pattern(300, 200, 3, 8)), {.max_megapixels = 0.05}).code, ErrorCode::image_too_large);
  EXPECT_EQ(error_of(tiff(pattern(300, 200, 1, 8)), {.max_megapixels = 0.05}).code, ErrorCode::image_too_large);
}

// Few pixels in all, but a longer side than convert() takes: a file of some kilobytes may unpack to gigabytes first.
TEST_F(ReadBadPicture, SidesOverTheLimitAreRefusedFromTheHeader) {
  for (const std::string& bytes : {png_claiming(65536, 2), png_claiming(2, 70000), "P5 70000 10 255\n12345"s}) {
    const Error error = error_of(bytes);
    EXPECT_EQ(error.code, ErrorCode::image_too_large) << error.message;
    EXPECT_NE(error.message.find("65535 px a side"), std::string::npos) << error.message;
  }
  EXPECT_TRUE(read(png(pattern(70000, 1, 1, 8)), {.longest_side_px = 100000}));
}

TEST_F(ReadBadPicture, MemoryIsEstimatedBeforeItIsTaken) {
  const Error error = error_of(png_claiming(19000, 19000), {.most_memory_bytes = 1e9});
  EXPECT_EQ(error.code, ErrorCode::image_too_large) << error.message;
  EXPECT_NE(error.message.find("1000 MB may be used"), std::string::npos) << error.message;
  const std::string small = png(pattern(300, 200, 3, 8));
  const double tracing = memory_needed(300, 200), reading = 8.0 * 300 * 200 + double(small.size());
  EXPECT_TRUE(read(small, {.most_memory_bytes = reading + tracing}));
  EXPECT_FALSE(read(small, {.most_memory_bytes = reading + tracing - 1}));
  EXPECT_TRUE(read(small, {.most_memory_bytes = reading, .for_a_part = true}));
}

// 361 megapixels are within the limit, but a few hundred bytes cannot hold them.
TEST_F(ReadBadPicture, SizesThatTheFileCannotHoldAreRefusedAtOnce) {
  for (const std::string& bytes : {png_claiming(19000, 19000), jpeg_claiming(19000, 19000),
                                   "P5 19000 19000 255\n12345"s, "P2 19000 19000 255\n1 2 3"s})
    EXPECT_EQ(error_of(bytes).code, ErrorCode::image_truncated) << error_of(bytes).message;
}

TEST_F(ReadBadPicture, OtherFilesAreNamedAndWhatToTryIsSaid) {
  const struct {
    std::string bytes, says;
  } cases[] = {{"", "empty"},
               {"Dear diary,\nno picture today.\n", "text file"},
               {"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", "PDF, not a picture: export its page as PNG at 300 dpi or more"},
               {"\0\0\0\x18"
                "ftypheic\0\0\0\0mif1heic"s,
                "HEIC photo"},
               {"P7\nWIDTH 2\nHEIGHT 2\n"s, "PAM"},
               {"Pf\n2 2\n-1.0\n"s, "PFM"},
               {"PF\n2 2\n-1.0\n"s, "PFM"},
               {"GIF89a\x01\0\x01\0"s, "GIF"},
               {"<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\"/>", "SVG"},
               {"PK\x03\x04\x14\0\0\0"s, "archive"},
               {"\x7f"
                "ELF\x02\x01\x01\0\0\0\0\0"s,
                "not a picture"}};
  for (const auto& [bytes, says] : cases) {
    const Error error = error_of(bytes);
    EXPECT_EQ(error.code, ErrorCode::not_an_image) << error.message;
    EXPECT_NE(error.message.find(says), std::string::npos) << error.message;
    EXPECT_TRUE(error.message.ends_with('.')) << error.message;
  }
}

TEST_F(ReadBadPicture, MissingFilesAndFolders) {
  EXPECT_EQ(read_picture(scratch_ / "nowhere.png").error().code, ErrorCode::file_not_found);
  const Error folder = read_picture(scratch_.path()).error();
  EXPECT_EQ(folder.code, ErrorCode::not_an_image);
  EXPECT_NE(folder.message.find("folder"), std::string::npos);
  EXPECT_EQ(read_picture(scratch_.put("file", "x") + "/scan.png").error().code, ErrorCode::file_not_found);
  EXPECT_EQ(read_picture("/dev/null").error().code, ErrorCode::not_an_image);
}

TEST_F(ReadBadPicture, TheKindIsToldByTheBytesNotTheName) {
  EXPECT_TRUE(read_picture(scratch_.put("really-a-png.jpg", png(pattern(5, 3, 1, 8)))).ok());
}

}  // namespace
}  // namespace batten
