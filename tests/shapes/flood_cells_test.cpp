#include "shapes/flood_cells.h"

#include <gtest/gtest.h>

#include <random>

#include "support/landscape.h"

namespace batten {
namespace {

using testing::heights_of;
using testing::within;

constexpr FloodSettings settings{.least_depth = 0.06, .least_area_px2 = 20, .highest_birth = 0.25};

// A crest along a rectangle, Gaussian across, of the given height over the ground.
HeightMap walled(PixelBox wall, double crest, double ground = 0, double inside = 0) {
  return heights_of(120, 100, [=](int x, int y) {
    const double dx = std::max(wall.x - x, x - wall.right() + 1), dy = std::max(wall.y - y, y - wall.bottom() + 1);
    const double outside_px = std::hypot(std::max(dx, 0.), std::max(dy, 0.)) + std::min(std::max(dx, dy), 0.);
    const double base = outside_px < 0 ? inside : ground;
    return base + (crest - base) * std::exp(-0.5 * outside_px * outside_px / 4);
  });
}

TEST(FloodCells, AClosedLinePartsInsideFromOutsideOnItsCrest) {
  const Cells cells = flood_cells(walled({30, 20, 60, 50}, 1).height, settings, {});
  ASSERT_EQ(cells.count, 2);
  const int outside = cells.labels.at(0, 0), inside = cells.labels.at(60, 45);
  EXPECT_NE(outside, inside);
  for (int y = 0; y < 100; ++y)
    for (int x = 0; x < 120; ++x) {
      if (within(x, y, {31, 21, 58, 48})) {
        EXPECT_EQ(cells.labels.at(x, y), inside) << x << ' ' << y;
      } else if (!within(x, y, {29, 19, 62, 52})) {
        EXPECT_EQ(cells.labels.at(x, y), outside) << x << ' ' << y;
      }
    }
}

TEST(FloodCells, AHollowCountsFromTheLeastDepthOn) {
  EXPECT_EQ(flood_cells(walled({30, 20, 60, 50}, 0.05).height, settings, {}).count, 1);
  EXPECT_EQ(flood_cells(walled({30, 20, 60, 50}, 0.08).height, settings, {}).count, 2);
}

TEST(FloodCells, AHollowCountsFromTheLeastAreaOn) {
  FloodSettings large = settings;
  large.least_area_px2 = 5000;
  EXPECT_EQ(flood_cells(walled({30, 20, 60, 50}, 1).height, large, {}).count, 1);
}

TEST(FloodCells, AHollowWithinTheInkIsNoPaper) {
  EXPECT_EQ(flood_cells(walled({30, 20, 60, 50}, 1, 0, 0.2).height, settings, {}).count, 2);
  EXPECT_EQ(flood_cells(walled({30, 20, 60, 50}, 1, 0, 0.3).height, settings, {}).count, 1);
}

TEST(FloodCells, GrainOfBarePaperMakesNoCells) {
  std::mt19937 random(3);
  const HeightMap paper = heights_of(120, 100, [&](int, int) { return -double(random()) / 4294967296.; });
  EXPECT_EQ(flood_cells(paper.height, {.least_depth = 0.06, .least_area_px2 = 1, .highest_birth = 0.25}, {}).count, 1);
}

TEST(FloodCells, AGapInTheLineLeavesOneCellUnlessItsSaddleIsHigh) {
  for (const auto& [saddle, cells] : {std::pair{0.03, 1}, {0.2, 2}}) {
    HeightMap map = walled({30, 20, 60, 50}, 1);
    for (int y = 12; y < 29; ++y)
      for (int x = 55; x < 60; ++x) map.height.at(x, y) = std::min(map.height.at(x, y), float(saddle));
    EXPECT_EQ(flood_cells(map.height, settings, {}).count, cells) << saddle;
  }
}

TEST(FloodCells, NoPixelsNoCells) { EXPECT_EQ(flood_cells({}, settings, {}).count, 0); }

}  // namespace
}  // namespace batten
