#include "ink/separate_ink.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::mean;
using testing::PencilSheet;

Ink separate(const ImageView& view) {
  const Job job;
  Progress progress(job, Stage::ink, 0, 1);
  auto scan = load_scan(view, progress);
  EXPECT_TRUE(scan.ok());
  auto ink = separate_ink(*scan, progress);
  EXPECT_TRUE(ink.ok());
  return std::move(*ink);
}

TEST(SeparateInk, UnevenLightVanishesAndNoiseIsMeasured) {
  PencilSheet sheet(400, 300);
  sheet.box(150, 100, 250, 200);
  const Ink ink = separate(sheet.scan(3, 2, 240, 80).view());  // the light falls by a third
  EXPECT_NEAR(mean(ink.ink, {10, 10, 80, 280}), 0, 0.004);
  EXPECT_NEAR(mean(ink.ink, {320, 10, 70, 280}), 0, 0.004);
  EXPECT_NEAR(mean(ink.ink, {170, 120, 60, 60}), 0, 0.006);
  // White noise of 2 grey levels on paper of 240 to 160.
  EXPECT_NEAR(ink.noise, 2 / 200., 0.002);
  // Signed: half of the bare paper is below zero.
  int below = 0, all = 0;
  for (int y = 10; y < 290; ++y)
    for (int x = 10; x < 90; ++x, ++all) below += ink.ink.at(x, y) < 0;
  EXPECT_NEAR(double(below) / all, 0.5, 0.08);
}

TEST(SeparateInk, InkOfAWideShadedAreaIsKept) {
  PencilSheet sheet(400, 400);
  sheet.disc({200, 200}, 150, 0.7);  // three quarters of the sheet's side
  const Ink ink = separate(sheet.scan(5).view());
  const double expected = 0.7 * (1 - 70 / 232.);
  EXPECT_NEAR(mean(ink.ink, {190, 190, 20, 20}), expected, 0.03);
  EXPECT_NEAR(mean(ink.ink, {80, 190, 10, 10}), expected, 0.03);
}

TEST(SeparateInk, TableRoundTheSheetIsNoInk) {
  PencilSheet sheet(400, 300);
  sheet.box(150, 100, 250, 200);
  auto scanned = sheet.scan(7);
  for (int y = 0; y < 300; ++y)
    for (int x = 0; x < 400; ++x)
      if (x < 40 || y > 270) scanned.bytes[std::size_t(y) * 400 + x] = std::uint8_t(20 + (x * 7 + y * 13) % 20);
  const Ink ink = separate(scanned.view());
  for (int y = 0; y < 300; ++y)
    for (int x = 0; x < 36; ++x) EXPECT_LT(ink.ink.at(x, y), 0.1) << x << "," << y;
}

TEST(SeparateInk, LightBlueGuidesVanishGraphiteStays) {
  PencilSheet sheet(300, 300);
  sheet.box(100, 100, 200, 200);
  const auto grey = sheet.scan(9, 1, 240, 0);
  std::vector<std::uint8_t> rgb(grey.bytes.size() * 3);
  for (int y = 0; y < 300; ++y)
    for (int x = 0; x < 300; ++x) {
      const std::size_t i = std::size_t(y) * 300 + x;
      const bool guide = y % 50 < 2;
      rgb[3 * i] = std::uint8_t(grey.bytes[i] * (guide ? 0.7 : 1));
      rgb[3 * i + 1] = std::uint8_t(grey.bytes[i] * (guide ? 0.85 : 1));
      rgb[3 * i + 2] = grey.bytes[i];
    }
  const Ink ink = separate({rgb.data(), 300, 300, 900, PixelFormat::rgb8});
  EXPECT_NEAR(mean(ink.ink, {10, 50, 80, 2}), 0, 0.01);
  EXPECT_GT(mean(ink.ink, {110, 99, 80, 2}), 0.4);
}

TEST(SeparateInk, DrawingInColourAloneIsTheDrawing) {
  PencilSheet sheet(300, 300);
  sheet.box(100, 100, 200, 200);
  const auto grey = sheet.scan(11, 1, 240, 0);
  std::vector<std::uint8_t> rgb(grey.bytes.size() * 3);
  for (std::size_t i = 0; i < grey.bytes.size(); ++i) {
    rgb[3 * i] = 240;  // a red pencil
    rgb[3 * i + 1] = rgb[3 * i + 2] = grey.bytes[i];
  }
  const Ink ink = separate({rgb.data(), 300, 300, 900, PixelFormat::rgb8});
  EXPECT_GT(mean(ink.ink, {110, 99, 80, 2}), 0.2);
}

TEST(SeparateInk, NoiseIsNeverZero) {
  const std::vector<std::uint8_t> white(64 * 64, 255);
  EXPECT_GT(separate({white.data(), 64, 64, 64, PixelFormat::gray8}).noise, 0);
}

}  // namespace
}  // namespace batten
