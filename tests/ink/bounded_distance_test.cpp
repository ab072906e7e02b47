#include "ink/bounded_distance.h"

#include <gtest/gtest.h>

#include "support/random.h"

namespace batten {
namespace {

TEST(BoundedDistance, PlacesWithinARadiusAreThoseWhoseDistanceIsNoLarger) {
  support::Random random(5);
  int mixed = 0;
  for (const auto& [width, height] : {std::pair{1, 40}, {63, 64}, {64, 700}, {130, 90}, {257, 33}}) {
    for (const double share : {0.0, 0.0005, 0.02, 0.6, 1.0}) {
      cv::Mat1b mask(height, width, std::uint8_t(0));
      for (std::uint8_t& m : mask) m = random.uniform() < share ? 255 : 0;
      const cv::Mat1f distance = distance_to(mask, {});
      for (const double radius_px : {0.0, 1.0, 1.4, 2.2, 5.0, 20.7, 64.0}) {
        const cv::Mat1b near = within(mask, radius_px, {}), expected = distance <= radius_px;
        if (cv::countNonZero(mask) > 0) {
          EXPECT_EQ(cv::countNonZero(near != expected), 0) << width << " " << radius_px;
        }
        mixed += cv::countNonZero(near) > 0 && cv::countNonZero(near == 0) > 0;
      }
    }
  }
  EXPECT_GT(mixed, 60);  // of 175
}

TEST(BoundedDistance, AnOpeningHoldsTheDiscsThatFit) {
  cv::Mat1b ink(100, 200, std::uint8_t(0));
  ink.colRange(90, 95) = 255;    // a wall
  ink.colRange(105, 110) = 255;  // and another: 10 px of paper between them
  const cv::Mat1b small = opened(ink, 4, {}), large = opened(ink, 8, {});
  EXPECT_EQ(small(50, 100), 255);
  EXPECT_EQ(large(50, 100), 0);
  EXPECT_EQ(large(50, 40), 255);
  EXPECT_EQ(small(50, 92), 0);
}

TEST(BoundedDistance, ThreadsChangeNothing) {
  cv::Mat1b mask(1500, 100, std::uint8_t(0));
  for (int y = 0; y < mask.rows; y += 97) mask(y, y % 100) = 255;
  EXPECT_EQ(cv::countNonZero(within(mask, 30, {64, 1, {}}) != within(mask, 30, {64, 2, {}})), 0);
}

}  // namespace
}  // namespace batten
