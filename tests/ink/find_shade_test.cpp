#include "ink/find_shade.h"

#include <gtest/gtest.h>

#include <cmath>

#include "ink/separate_ink.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

constexpr int width = 1000, height = 800;

// How far a place lies within the shadow, px: beyond a line across the sheet.
double within(int x, int y) { return (x + 0.5 - 560) * 0.8 + (y + 0.5 - 400) * 0.6; }

PencilSheet drawing() {
  PencilSheet sheet(width, height);
  sheet.box(150, 120, 850, 680, 5, 0.7);
  sheet.ring({500, 400}, 200, 4, 0.6);
  sheet.line({300, 700}, {700, 150}, 4, 0.7);
  return sheet.with_grain(3);
}

// A scan on which a shadow takes `darkness` of the light, with an edge that is so soft.
PencilSheet::Scanned shadowed(const PencilSheet& sheet, double darkness, double softness_px) {
  PencilSheet::Scanned out = sheet.scan(11, 2);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const double part = 1 / (1 + std::exp(-within(x, y) / softness_px));
      std::uint8_t& v = out.bytes[std::size_t(y) * width + x];
      v = std::uint8_t(std::lround(v * (1 - darkness * part)));
    }
  return out;
}

Scan load(const PencilSheet::Scanned& scanned) {
  const Job job;
  Progress progress(job, Stage::ink, 0, 1);
  return *load_scan(scanned.view(), progress);
}

Plane<float> ink_of(const Scan& scan) {
  const Job job;
  Progress progress(job, Stage::ink, 0, 1);
  return separate_ink(scan, progress)->ink;
}

Plane<Ground> shade_of(const Scan& scan) { return find_shade(scan, look_at(scan.copy), {}, {}); }

TEST(FindShade, EachSideOfTheEdgeIsNamed) {
  const Scan scan = load(shadowed(drawing(), 0.45, 0.3));
  const Plane<Ground> ground = shade_of(scan);
  ASSERT_FALSE(ground.empty());
  const int reduction = copy_reduction(width, height);
  int lit = 0, shaded = 0;
  for (int y = 0; y < ground.height; ++y)
    for (int x = 0; x < ground.width; ++x) {
      const double off = within(x * reduction, y * reduction);
      lit += ground.at(x, y) == Ground::lit, shaded += ground.at(x, y) == Ground::shaded;
      if (ground.at(x, y) == Ground::lit) {
        EXPECT_LT(off, 3);
      }
      if (ground.at(x, y) == Ground::shaded) {
        EXPECT_GT(off, -3);
      }
    }
  EXPECT_GT(lit + shaded, 0.9 * ground.width * ground.height);
}

TEST(FindShade, TheInkIsThatOfAnEvenlyLitSheet) {
  const Plane<float> even = ink_of(load(drawing().scan(11, 2)));
  for (const double softness_px : {0.3, 3., 10.}) {
    const Plane<float> ink = ink_of(load(shadowed(drawing(), 0.45, softness_px)));
    double sum = 0, count = 0;
    int wrong = 0;
    for (int y = 4; y + 4 < height; ++y)
      for (int x = 4; x + 4 < width; ++x) {
        const double off = std::abs(ink.at(x, y) - even.at(x, y));
        // Noise is twice as loud in the shadow; where a line crosses the edge, paper is guessed within some pixels.
        const double from_edge = std::abs(within(x, y));
        if (from_edge > 10) {
          ASSERT_LT(off, 0.15) << x << " " << y << " " << softness_px;
        }
        wrong += from_edge > 2 && off > 0.15;
        if (std::abs(within(x, y)) < 60) sum += off, count += 1;
      }
    EXPECT_LT(sum / count, 0.025) << softness_px;
    EXPECT_LT(wrong, 60) << softness_px;  // of 800 000
  }
}

TEST(FindShade, ShadingWithAPencilIsNoShadow) {
  PencilSheet sheet(width, height);
  for (int y = 300; y < height; ++y)
    for (int x = 600; x < width; ++x) sheet.cover(x, y, 0.6);
  const Scan scan = load(sheet.with_grain(5).scan(11, 2));
  EXPECT_TRUE(shade_of(scan).empty());
}

TEST(FindShade, LightThatFallsOffIsNoShadow) {
  EXPECT_TRUE(shade_of(load(drawing().scan(11, 2, 240, 120))).empty());
  EXPECT_TRUE(shade_of(load(PencilSheet(30, 30).scan(1))).empty());
}

}  // namespace
}  // namespace batten
