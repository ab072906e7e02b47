#include "network/thin_mask.h"

#include <gtest/gtest.h>

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

}  // namespace
}  // namespace batten
