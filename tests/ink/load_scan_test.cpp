#include "ink/load_scan.h"

#include <gtest/gtest.h>

#include <cstring>

namespace batten {
namespace {

Result<Scan> load(const ImageView& view) {
  const Job job;
  Progress progress(job, Stage::load, 0, 1);
  return load_scan(view, progress);
}

// Samples of one pixel as each format holds them; alpha is full.
template <class T>
std::vector<T> pixels(int samples, std::vector<double> rgb) {
  std::vector<T> out;
  for (int i = 0; i < 6; ++i)
    for (int s = 0; s < samples; ++s) out.push_back(s == 3 ? T(~T(0)) : T(rgb[s] * T(~T(0)) + 0.5));
  return out;
}

TEST(LoadScan, ACopyHoldsMeansOfWholeBlocksAndOfWhatIsLeftAtTheEdge) {
  const std::uint8_t grey[] = {0, 51, 255, 102, 153, 0, 255, 51, 102};
  std::uint8_t colour[3 * 9];
  for (int i = 0; i < 9; ++i) colour[3 * i] = colour[3 * i + 1] = colour[3 * i + 2] = grey[i];
  const Job job;
  Progress progress(job, Stage::load, 0, 1);
  for (const ImageView& view : {ImageView{grey, 3, 3, 3}, ImageView{colour, 3, 3, 9, PixelFormat::rgb8}}) {
    const auto scan = load_scan(view, progress, 1, 2);
    ASSERT_TRUE(scan.ok());
    ASSERT_EQ(scan->grey.width, 2);
    ASSERT_EQ(scan->grey.height, 2);
    EXPECT_NEAR(scan->grey.at(0, 0), (0 + 51 + 102 + 153) / 4. / 255, 1e-6);
    EXPECT_NEAR(scan->grey.at(1, 0), (255 + 0) / 2. / 255, 1e-6);
    EXPECT_NEAR(scan->grey.at(0, 1), (255 + 51) / 2. / 255, 1e-6);
    EXPECT_NEAR(scan->grey.at(1, 1), 102 / 255., 1e-6);
  }
}

TEST(LoadScan, EveryFormatGivesTheSameGrey) {
  const std::vector<double> grey{0.4, 0.4, 0.4};
  const auto g8 = pixels<std::uint8_t>(1, grey), c8 = pixels<std::uint8_t>(3, grey), a8 = pixels<std::uint8_t>(4, grey);
  const auto g16 = pixels<std::uint16_t>(1, grey), c16 = pixels<std::uint16_t>(3, grey),
             a16 = pixels<std::uint16_t>(4, grey);
  const ImageView views[] = {{g8.data(), 3, 2, 3, PixelFormat::gray8},   {c8.data(), 3, 2, 9, PixelFormat::rgb8},
                             {a8.data(), 3, 2, 12, PixelFormat::rgba8},  {g16.data(), 3, 2, 6, PixelFormat::gray16},
                             {c16.data(), 3, 2, 18, PixelFormat::rgb16}, {a16.data(), 3, 2, 24, PixelFormat::rgba16}};
  for (const ImageView& view : views) {
    const auto scan = load(view);
    ASSERT_TRUE(scan.ok());
    EXPECT_TRUE(scan->brightest.empty());  // no colour in it
    for (const float v : scan->grey.values) EXPECT_NEAR(v, 0.4, 0.001);
  }
}

TEST(LoadScan, ColourByTheWeightsOfBt601) {  // ITU-R BT.601: Y = 0.299 R + 0.587 G + 0.114 B
  const std::vector<std::uint8_t> red{255, 0, 0, 0, 255, 0, 0, 0, 255};
  const auto scan = load({red.data(), 3, 1, 9, PixelFormat::rgb8});
  ASSERT_TRUE(scan.ok());
  EXPECT_NEAR(scan->grey.values[0], 0.299, 1e-6);
  EXPECT_NEAR(scan->grey.values[1], 0.587, 1e-6);
  EXPECT_NEAR(scan->grey.values[2], 0.114, 1e-6);
  ASSERT_FALSE(scan->brightest.empty());
  EXPECT_EQ(scan->brightest.values[2], 1);
}

TEST(LoadScan, AlphaLiesOverWhite) {
  const std::vector<std::uint8_t> p{0, 0, 0, 0, 0, 0, 0, 51, 0, 0, 0, 255};
  const auto scan = load({p.data(), 3, 1, 12, PixelFormat::rgba8});
  ASSERT_TRUE(scan.ok());
  EXPECT_NEAR(scan->grey.values[0], 1, 1e-6);
  EXPECT_NEAR(scan->grey.values[1], 0.8, 1e-6);
  EXPECT_NEAR(scan->grey.values[2], 0, 1e-6);
}

TEST(LoadScan, RowsBackwardsAndUnaligned) {
  // 16-bit rows that begin at odd addresses, last row first.
  std::vector<std::uint8_t> bytes(1 + 2 * 5);
  const std::uint16_t top[2] = {0, 65535}, bottom[2] = {13107, 26214};
  std::memcpy(bytes.data() + 1, bottom, 4);
  std::memcpy(bytes.data() + 6, top, 4);
  const auto scan = load({bytes.data() + 6, 2, 2, -5, PixelFormat::gray16});
  ASSERT_TRUE(scan.ok());
  EXPECT_EQ(scan->grey.at(1, 0), 1);
  EXPECT_NEAR(scan->grey.at(0, 1), 0.2, 1e-6);
  EXPECT_NEAR(scan->grey.at(1, 1), 0.4, 1e-6);
}

TEST(LoadScan, BadPixelsAreNamed) {
  const std::uint8_t p[4] = {};
  const ImageView views[] = {{nullptr, 2, 2, 2, PixelFormat::gray8},   {p, 0, 2, 2, PixelFormat::gray8},
                             {p, 2, -1, 2, PixelFormat::gray8},        {p, 2, 2, 1, PixelFormat::gray8},
                             {p, 70000, 2, 70000, PixelFormat::gray8}, {p, 2, 2, 2, PixelFormat(17)}};
  for (const ImageView& view : views) {
    const auto scan = load(view);
    ASSERT_FALSE(scan.ok());
    EXPECT_EQ(scan.error().code, ErrorCode::bad_pixels);
    EXPECT_FALSE(scan.error().message.empty());
  }
}

}  // namespace
}  // namespace batten
