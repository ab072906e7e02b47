// Pixels in other orders of samples give the same bytes; what a mask hides does not count.

#include <gtest/gtest.h>

#include <cstring>

#include "batten/convert.h"
#include "batten/files.h"
#include "support/pencil_sheet.h"
#include "support/random.h"

namespace batten {
namespace {

using namespace batten::testing;

// A ring in pencil with a coloured dot, as samples of so many bits, in the order that `format` says.
template <class T>
struct Colours {
  int width = 0, height = 0;
  std::vector<T> rgba;  // not premultiplied; alpha is full but for a corner, where it is nothing
};

template <class T>
Colours<T> coloured_sheet() {
  PencilSheet sheet(240, 200);
  sheet.ring({120, 100}, 70, 5, 0.8);
  Colours<T> out{240, 200, {}};
  constexpr double full = T(~T(0));
  for (int y = 0; y < 200; ++y)
    for (int x = 0; x < 240; ++x) {
      const double v = 0.95 * (1 - sheet.ink.at(x, y));
      const bool dot = std::hypot(x - 120.0, y - 100.0) < 12, bare = x < 20 && y < 20;
      const double r = dot ? 0.8 : v, g = dot ? 0.2 : v, b = dot ? 0.1 : v;
      for (const double c : {r, g, b}) out.rgba.push_back(bare ? T(0) : T(c * full + 0.5));
      out.rgba.push_back(bare ? T(0) : T(full));
    }
  return out;
}

template <class T>
std::string traced(const Colours<T>& sheet, PixelFormat format, bool blue_first, bool alpha) {
  std::vector<T> samples;
  for (std::size_t i = 0; i < sheet.rgba.size(); i += 4) {
    const T* p = &sheet.rgba[i];
    const T white = p[3] ? T(0) : T(~T(0));  // as alpha over white
    for (const int k : {blue_first ? 2 : 0, 1, blue_first ? 0 : 2}) samples.push_back(alpha ? p[k] : T(p[k] | white));
    if (alpha) samples.push_back(p[3]);
  }
  const auto stride = std::ptrdiff_t(sheet.width * (alpha ? 4 : 3) * int(sizeof(T)));
  const auto made = convert({samples.data(), sheet.width, sheet.height, stride, format}, {.tolerance_px = 0.7});
  EXPECT_TRUE(made.ok());
  return made.ok() ? to_json(*made) : "";
}

TEST(PixelFormats, EveryOrderOfSamplesGivesTheSameBytes) {
  const auto bytes = coloured_sheet<std::uint8_t>();
  const std::string rgb8 = traced(bytes, PixelFormat::rgb8, false, false);
  ASSERT_FALSE(rgb8.empty());
  EXPECT_EQ(traced(bytes, PixelFormat::bgr8, true, false), rgb8);
  const std::string rgba8 = traced(bytes, PixelFormat::rgba8, false, true);
  EXPECT_EQ(traced(bytes, PixelFormat::bgra8, true, true), rgba8);
  EXPECT_EQ(traced(bytes, PixelFormat::rgba8_premultiplied, false, true), rgba8);
  EXPECT_EQ(traced(bytes, PixelFormat::bgra8_premultiplied, true, true), rgba8);
  const auto words = coloured_sheet<std::uint16_t>();
  const std::string rgb16 = traced(words, PixelFormat::rgb16, false, false);
  EXPECT_EQ(traced(words, PixelFormat::bgr16, true, false), rgb16);
  const std::string rgba16 = traced(words, PixelFormat::rgba16, false, true);
  EXPECT_EQ(traced(words, PixelFormat::bgra16, true, true), rgba16);
  EXPECT_EQ(traced(words, PixelFormat::rgba16_premultiplied, false, true), rgba16);
  EXPECT_EQ(traced(words, PixelFormat::bgra16_premultiplied, true, true), rgba16);
}

class Masked : public ::testing::Test {
 protected:
  static constexpr int width = 420, height = 300;
  Masked() : mask_(std::size_t(width * height), std::uint8_t(1)) {
    PencilSheet sheet(width, height);
    sheet.ring({130, 150}, 80, 5, 0.8);
    clean_ = grey_of(sheet);
    sheet.disc({320, 90}, 45, 0.9);              // a blot
    sheet.line({260, 220}, {400, 250}, 4, 0.7);  // a stroke
    sheet.box(270, 180, 300, 210);               // and a box
    dirty_ = grey_of(sheet);
    for (int y = 0; y < height; ++y)
      for (int x = 240; x < width; ++x) mask_[std::size_t(y * width + x)] = 0;
  }
  static std::vector<std::uint8_t> grey_of(const PencilSheet& sheet) {
    support::Random random("Masked", "paper");
    std::vector<std::uint8_t> out;
    for (int y = 0; y < height; ++y)
      for (int x = 0; x < width; ++x) {
        const double light = 0.93 - 0.12 * x / width;  // falls off to one side
        const double v = light * (1 - sheet.ink.at(x, y)) + random.normal(0.012);
        out.push_back(std::uint8_t(std::clamp(255 * v + 0.5, 0.0, 255.0)));
      }
    return out;
  }
  Result<Conversion> traced(const std::vector<std::uint8_t>& grey, bool masked) const {
    ImageView view{grey.data(), width, height, width, PixelFormat::gray8};
    if (masked) view.mask = mask_.data(), view.mask_stride_bytes = width;
    return convert(view, {.tolerance_px = 1});
  }
  std::vector<std::uint8_t> clean_, dirty_, mask_;
};

TEST_F(Masked, DirtUnderItIsNotSeen) {
  const auto dirty = traced(dirty_, false), hidden = traced(dirty_, true), clean = traced(clean_, false);
  ASSERT_TRUE(dirty.ok() && hidden.ok() && clean.ok());
  EXPECT_GT(dirty->drawing.outlines.size(), 1u) << "there is dirt";
  ASSERT_EQ(hidden->drawing.outlines.size(), 1u);
  ASSERT_EQ(clean->drawing.outlines.size(), 1u);
  EXPECT_EQ(hidden->report.segments, clean->report.segments);
  for (const Node& n : hidden->drawing.outlines[0].nodes) EXPECT_NEAR(std::hypot(n.at.x - 130, n.at.y - 150), 80, 0.6);
}

TEST_F(Masked, NothingUnderItChangesABit) {
  const auto expected = traced(clean_, true);
  ASSERT_TRUE(expected.ok());
  std::vector<std::uint8_t> garbage = clean_;
  support::Random random("Masked", "garbage");
  for (std::size_t i = 0; i < garbage.size(); ++i)
    if (!mask_[i]) garbage[i] = std::uint8_t(random.below(256));
  for (const std::vector<std::uint8_t>& other : {dirty_, garbage}) {
    const auto made = traced(other, true);
    ASSERT_TRUE(made.ok());
    EXPECT_EQ(to_json(*made), to_json(*expected));
  }
}

TEST_F(Masked, ALineThatRunsUnderItEndsThere) {
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) mask_[std::size_t(y * width + x)] = x < 130;  // half of the ring
  const auto made = traced(clean_, true);
  ASSERT_TRUE(made.ok()) << made.error().message;
  ASSERT_FALSE(made->drawing.outlines.empty());
  for (const Outline& o : made->drawing.outlines)
    for (const Node& n : o.nodes) EXPECT_LT(n.at.x, 134);
}

TEST_F(Masked, WhereNothingIsReadNothingIsFound) {
  std::fill(mask_.begin(), mask_.end(), std::uint8_t(0));
  EXPECT_EQ(traced(dirty_, true).error().code, ErrorCode::no_ink_found);
  ImageView view{dirty_.data(), width, height, width, PixelFormat::gray8};
  view.mask = mask_.data(), view.mask_stride_bytes = width - 1;
  EXPECT_EQ(convert(view).error().code, ErrorCode::bad_pixels);
}

TEST_F(Masked, RowsOfTheMaskMayLieBackwardsAndApart) {
  constexpr int stride = width + 13;
  std::vector<std::uint8_t> upside_down(std::size_t(stride * height), std::uint8_t(1));
  for (int y = 0; y < height; ++y)
    std::memcpy(&upside_down[std::size_t((height - 1 - y) * stride)], &mask_[std::size_t(y * width)], width);
  ImageView view{dirty_.data(), width, height, width, PixelFormat::gray8};
  view.mask = upside_down.data() + (height - 1) * stride, view.mask_stride_bytes = -stride;
  const auto made = convert(view, {.tolerance_px = 1});
  ASSERT_TRUE(made.ok());
  EXPECT_EQ(to_json(*made), to_json(*traced(dirty_, true)));
}

}  // namespace
}  // namespace batten
