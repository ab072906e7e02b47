#include "measure/line_sigma.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

// The middle of a line 8 px wide round a circle, that strays by waves of wave_px over 60 px.
SpacedLoop ring(double radius_px, double wave_px) {
  support::Polyline points;
  for (int i = 0; i < 4000; ++i) {
    const double turn = 2 * pi * i / 4000, waves = std::round(2 * pi * radius_px / 60);
    points.push_back(Point{500, 500} + (radius_px + wave_px * std::cos(waves * turn)) * direction(turn));
  }
  SpacedLoop loop = support::exact_loop(points, 1);
  loop.kind = Kind::outlined, loop.band_px = loop.scale_px = 8;
  loop.sigma_px = 0.7, loop.known_sigma_px = 0.56;
  return loop;
}

double sigma_px(const SpacedLoop& loop, double radius_px) {
  return line_sigma_px(loop, support::circle({500, 500}, radius_px, 8, support::standard_handle(8)));
}

TEST(LineSigma, ALineThatAHandDrewIsKnownAsIsUsual) { EXPECT_DOUBLE_EQ(sigma_px(ring(200, 0.5), 200), 0.56); }

TEST(LineSigma, ALineThatIsFollowedMoreNearlyThanAnyHandsIsKnownBetter) {
  const double even = sigma_px(ring(200, 0), 200), slight = sigma_px(ring(200, 0.1), 200);
  EXPECT_LT(even, 0.1);
  EXPECT_GE(even, 0.15 * 0.56);
  EXPECT_GT(slight, even);
  EXPECT_LT(slight, 0.56);
}

TEST(LineSigma, AShortLineSaysNothing) { EXPECT_DOUBLE_EQ(sigma_px(ring(60, 0), 60), 0.56); }

TEST(LineSigma, AnOutlineThatFollowsTheWobbleSaysNothing) {
  SpacedLoop loop = ring(200, 0);
  loop.waver_px = 2.6 * 0.7, loop.limit_px = 0.3;
  EXPECT_DOUBLE_EQ(sigma_px(loop, 200), 0.56);
}

TEST(LineSigma, WhatTheCallerSaidStays) {
  SpacedLoop loop = ring(200, 0);
  loop.known_sigma_px = {};
  EXPECT_DOUBLE_EQ(sigma_px(loop, 200), 0.7);
}

}  // namespace
}  // namespace batten
