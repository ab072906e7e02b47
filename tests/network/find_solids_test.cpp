#include "network/find_solids.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>
#include <random>

namespace batten {
namespace {

cv::Mat1b bare() { return cv::Mat1b(300, 400, std::uint8_t(0)); }

TEST(FindSolids, ADotThatStandsAloneIsFoundAndNoOther) {
  cv::Mat1b lines = bare();
  cv::circle(lines, {80, 80}, 14, 255, cv::FILLED);   // alone
  cv::circle(lines, {200, 80}, 14, 255, cv::FILLED);  // at the end of a line
  cv::line(lines, {200, 80}, {380, 80}, 255, 5);
  cv::rectangle(lines, {40, 200}, {140, 212}, 255, cv::FILLED);  // a thick dash
  cv::circle(lines, {300, 220}, 5, 255, cv::FILLED);             // too small
  const cv::Mat1b dots = find_dots(lines, bare(), 5, {});
  EXPECT_TRUE(dots(80, 80));
  EXPECT_NEAR(cv::countNonZero(dots), 3.14159 * 14 * 14, 70) << "the one dot and nothing else";
}

TEST(FindSolids, WhatTouchesShadingIsNoDot) {
  cv::Mat1b lines = bare();
  cv::circle(lines, {80, 80}, 14, 255, cv::FILLED);
  cv::Mat1b toned = bare();
  toned.colRange(0, 90).setTo(255);
  EXPECT_EQ(cv::countNonZero(find_dots(lines, toned, 5, {})), 0);
}

// A disc of 60 px with a line of 5 px that leads to it.
cv::Mat1f disc_and_line(float scatter) {
  cv::Mat1f ink(300, 400, 0.f);
  cv::circle(ink, {120, 150}, 60, 0.7, cv::FILLED);
  cv::line(ink, {180, 150}, {390, 150}, 0.7, 5);
  std::mt19937 random(3);
  std::normal_distribution<float> normal(0, scatter);
  for (float& v : ink)
    if (v > 0) v += normal(random);
  return ink;
}

TEST(FindSolids, EvenInkIsFilledWithoutTheLineThatLeadsToIt) {
  const cv::Mat1b solid = find_solids(disc_and_line(0.01f), bare() == 0, 5, 1, {});
  EXPECT_NEAR(cv::countNonZero(solid), 3.14159 * 60 * 60, 1200);
  EXPECT_EQ(cv::countNonZero(solid.colRange(260, 400)), 0);
}

TEST(FindSolids, ShadingIsToneWellInsideIt) {
  const cv::Mat1b toned = find_tones(disc_and_line(0.1f), 5);
  EXPECT_TRUE(toned(150, 120));
  EXPECT_FALSE(toned(150, 300)) << "a line is none";
  EXPECT_FALSE(toned(20, 20));
}

}  // namespace
}  // namespace batten
