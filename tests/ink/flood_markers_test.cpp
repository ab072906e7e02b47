#include "ink/flood_markers.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

TEST(FloodMarkers, RegionsMeetOnTheCrestBetweenThem) {
  Plane<float> height(41, 20);
  for (int y = 0; y < 20; ++y)
    for (int x = 0; x < 41; ++x) height.at(x, y) = float(10 - std::abs(x - 27));  // a crest at x = 27
  Plane<std::int32_t> labels(41, 20, 0);
  labels.at(2, 10) = 1, labels.at(39, 3) = 2;
  flood_markers(height, &labels);
  for (int y = 0; y < 20; ++y)
    for (int x = 0; x < 41; ++x)
      if (x != 27) {
        EXPECT_EQ(labels.at(x, y), x < 27 ? 1 : 2) << x << ' ' << y;
      }
}

TEST(FloodMarkers, WaterPassesTheLowestGap) {
  Plane<float> height(21, 21, 0);
  for (int y = 0; y < 21; ++y) height.at(10, y) = y == 15 ? 1 : 5;  // a wall with a gap
  for (int x = 0; x < 21; ++x) height.at(x, 10) = x > 10 ? 3 : 0;   // a lower wall behind it
  Plane<std::int32_t> labels(21, 21, 0);
  labels.at(2, 2) = 1, labels.at(18, 2) = 2;
  flood_markers(height, &labels);
  EXPECT_EQ(labels.at(18, 18), 1) << "over the gap at height 1, not over the wall at height 3";
  EXPECT_EQ(labels.at(18, 5), 2);
}

TEST(FloodMarkers, MarkersKeepTheirPixelsAndAllAreLabelled) {
  Plane<float> height(8, 6, 1);
  Plane<std::int32_t> labels(8, 6, 0);
  labels.at(0, 0) = 7, labels.at(7, 5) = 9;
  flood_markers(height, &labels);
  EXPECT_EQ(labels.at(0, 0), 7);
  EXPECT_EQ(labels.at(7, 5), 9);
  for (const std::int32_t l : labels.values) EXPECT_TRUE(l == 7 || l == 9);
}

}  // namespace
}  // namespace batten
