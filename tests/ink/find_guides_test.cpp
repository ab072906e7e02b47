#include "ink/find_guides.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace batten {
namespace {

constexpr int width = 960, height = 200;  // 30 strips

// Bare paper with white noise of sigma 0.01: twelve even numbers added have a variance of one.
Plane<float> paper() {
  std::mt19937 random(5);
  Plane<float> ink(width, height);
  for (float& k : ink.values) {
    double sum = -6;
    for (int i = 0; i < 12; ++i) sum += double(random()) / 4294967296.;
    k = float(0.01 * sum);
  }
  return ink;
}

// A line y = y0 + slope x, 2 px wide.
void rule(double y0, double slope, double darkness, Plane<float>* ink) {
  for (int x = 0; x < width; ++x)
    for (int y = 0; y < height; ++y) {
      const double off = std::abs(y - (y0 + slope * x));
      ink->at(x, y) += float(darkness * std::clamp(1.5 - off, 0., 1.));
    }
}

TEST(FindGuides, AFaintLineIsFoundWhereItRuns) {
  for (const double slope : {0., 0.013, -0.03}) {
    Plane<float> ink = paper();
    rule(100, slope, 0.03, &ink);
    const std::vector<GuideTrack> tracks = find_guides(strips_of(ink), {});
    ASSERT_EQ(tracks.size(), 1u) << slope;
    EXPECT_NEAR(tracks[0].at_zero_px, 100, 0.4);
    EXPECT_NEAR(tracks[0].slope, slope, 0.001);
    EXPECT_NEAR(tracks[0].amplitude_px, 2 * 0.03, 0.02);
    EXPECT_GT(std::count(tracks[0].seen.begin(), tracks[0].seen.end(), true), 20);
  }
}

TEST(FindGuides, BarePaperAndSteepLinesHaveNone) {
  EXPECT_TRUE(find_guides(strips_of(paper()), {}).empty());
  Plane<float> ink = paper();
  rule(50, 0.1, 0.1, &ink);
  EXPECT_TRUE(find_guides(strips_of(ink), {}).empty());
}

TEST(FindGuides, ALetterOnTheLineHidesItButDoesNotBendIt) {
  Plane<float> ink = paper();
  rule(100, 0, 0.04, &ink);
  for (int x = 320; x < 512; ++x)  // a stroke along it, in strips 10 to 15
    for (int y = 99; y < 103; ++y) ink.at(x, y) += 0.5f;
  const std::vector<GuideTrack> tracks = find_guides(strips_of(ink), {});
  ASSERT_EQ(tracks.size(), 1u);
  for (std::size_t s = 0; s < tracks[0].seen.size(); ++s) {
    if (s >= 10 && s < 16) {
      EXPECT_FALSE(tracks[0].seen[s]) << s;
    }
    EXPECT_NEAR(tracks[0].y_px[s], 100, 0.5) << s;
    EXPECT_NEAR(tracks[0].gain[s], 1, 0.35) << s;
  }
}

TEST(FindGuides, LinesComeFromTopToBottom) {
  Plane<float> ink = paper();
  for (const double y : {150., 40., 95.}) rule(y, 0, 0.05, &ink);
  const std::vector<GuideTrack> tracks = find_guides(strips_of(ink), {});
  ASSERT_EQ(tracks.size(), 3u);
  EXPECT_NEAR(tracks[0].at_zero_px, 40, 0.4);
  EXPECT_NEAR(tracks[1].at_zero_px, 95, 0.4);
  EXPECT_NEAR(tracks[2].at_zero_px, 150, 0.4);
}

TEST(StripsOf, MeansOfColumnsAndTheirNoise) {
  const Strips strips = strips_of(paper());
  EXPECT_EQ(strips.mean.width, width / Strips::strip_px);
  EXPECT_EQ(strips.mean.height, height);
  EXPECT_NEAR(strips.noise, 0.01 / std::sqrt(32.), 0.0005);
  EXPECT_DOUBLE_EQ(strips.middle_px(0), 15.5);
  EXPECT_EQ(strips_of(Plane<float>(20, 50)).mean.width, 0);
}

TEST(FilledIn, WhatWasNotSeenComesFromItsNeighbours) {
  std::vector<double> values(30, 2.);
  std::vector<bool> seen(30, true);
  for (std::size_t s = 12; s < 18; ++s) values[s] = 99, seen[s] = false;
  for (const double v : filled_in(values, seen, 3)) EXPECT_NEAR(v, 2, 1e-12);
}

}  // namespace
}  // namespace batten
