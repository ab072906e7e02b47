#include "network/thin_mask.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

namespace batten {
namespace {

TEST(ThinMask, ABarBecomesALineOfOnePixel) {
  cv::Mat1b mask(40, 100, std::uint8_t(0));
  mask(cv::Rect(10, 15, 80, 7)).setTo(255);
  const cv::Mat1b thin = thinned(mask, {});
  EXPECT_EQ(cv::countNonZero(thin.row(18)), cv::countNonZero(thin)) << "all in the middle row";
  EXPECT_GE(cv::countNonZero(thin), 73);
  EXPECT_LE(cv::countNonZero(thin), 80);
}

TEST(ThinMask, ConnectionsAndHolesStay) {
  cv::Mat1b mask(200, 200, std::uint8_t(0));
  cv::circle(mask, {70, 100}, 40, 255, 9);
  cv::circle(mask, {140, 100}, 35, 255, 6);
  cv::line(mask, {10, 10}, {190, 30}, 255, 5);
  const cv::Mat1b thin = thinned(mask, {});
  cv::Mat1i labels;
  for (const auto& [picture, connectivity] : {std::pair(cv::Mat1b(mask), 8), std::pair(cv::Mat1b(mask == 0), 4)}) {
    const cv::Mat1b thinner = connectivity == 8 ? thin : cv::Mat1b(thin == 0);
    EXPECT_EQ(cv::connectedComponents(picture, labels, connectivity, CV_32S),
              cv::connectedComponents(thinner, labels, connectivity, CV_32S));
  }
  EXPECT_LT(cv::countNonZero(thin), 750) << "the middles of the three lines are some 250, 220 and 180 px long";
}

TEST(ThinMask, LinesKeepTheirLengthInEveryDirection) {
  for (int degrees = 0; degrees < 180; degrees += 3)
    for (int width = 2; width <= 12; ++width) {
      constexpr double half_length = 100;
      const double angle = degrees * CV_PI / 180;
      cv::Mat1b mask(240, 240, std::uint8_t(0));
      const auto along = [&](int x, int y) { return (x - 120) * std::cos(angle) + (y - 120) * std::sin(angle); };
      const auto across = [&](int x, int y) { return (y - 120) * std::cos(angle) - (x - 120) * std::sin(angle); };
      for (int y = 0; y < mask.rows; ++y)
        for (int x = 0; x < mask.cols; ++x) {
          const double beyond = std::max(0., std::abs(along(x, y)) - half_length);
          if (std::hypot(beyond, across(x, y)) <= 0.5 * width) mask(y, x) = 255;
        }
      const cv::Mat1b thin = thinned(mask, {});
      double first = 1e9, last = -1e9;
      for (int y = 0; y < thin.rows; ++y)
        for (int x = 0; x < thin.cols; ++x)
          if (thin(y, x)) first = std::min(first, along(x, y)), last = std::max(last, along(x, y));
      const double most_px = 0.6 * width + 1;  // half a width at a round end is usual
      EXPECT_LT(half_length + first, most_px) << degrees << " degrees, " << width << " px wide";
      EXPECT_LT(half_length - last, most_px) << degrees << " degrees, " << width << " px wide";
      const double steps = 2 * half_length * std::max(std::abs(std::cos(angle)), std::abs(std::sin(angle)));
      EXPECT_LT(cv::countNonZero(thin), 1.05 * steps + 5) << "one pixel thick";
    }
}

}  // namespace
}  // namespace batten
