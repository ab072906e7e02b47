#include "api/reduced_scan.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

TEST(ReducedCopy, ACopyHasAtMostTwelveMegapixels) {
  EXPECT_EQ(largest_reduction(2550, 3300), 1) << "letter paper at 300 dpi";
  EXPECT_EQ(largest_reduction(4960, 7016), 2) << "A4 at 600 dpi";
  EXPECT_EQ(largest_reduction(9920, 14032), 4) << "A4 at 1200 dpi";
}

Patches with(std::vector<std::pair<double, double>> widths_and_areas, Kind kind = Kind::outlined) {
  Patches out;
  for (const auto& [width_px, area_px2] : widths_and_areas) {
    Patch patch;
    patch.kind = kind, patch.measure.typical_px = width_px, patch.measure.area_px2 = area_px2;
    out.patches.push_back(patch);
  }
  return out;
}

TEST(ReducedCopy, OnlyBroadLinesAreReadInACopy) {
  Ink ink;
  ink.noise = 0.01;
  EXPECT_TRUE(is_broad_enough(ink, with({{12, 1000}, {9, 500}})));
  EXPECT_TRUE(is_broad_enough(ink, with({{12, 1000}, {3, 40}}))) << "a speck";
  EXPECT_FALSE(is_broad_enough(ink, with({{12, 1000}, {5, 400}})));
  EXPECT_FALSE(is_broad_enough(ink, with({{40, 1000}}, Kind::filled))) << "its edge is known better at full size";
  EXPECT_FALSE(is_broad_enough(ink, with({})));
  ink.noise = 0.001;
  EXPECT_FALSE(is_broad_enough(ink, with({{12, 1000}}))) << "crisp";
}

TEST(ReducedCopy, WhatWasFoundComesBackInPixelsOfTheScan) {
  Loops loops;
  Loop loop;
  loop.points = {{1, 2}, {3, 4}};
  loop.sigma_px = 0.5, loop.band_px = 10, loop.rounding_px = 3, loop.correlation_px = 7;
  loops.loops.push_back(loop);
  loops.guides.push_back({20, 0.01});
  loops.ink = Plane<float>(3, 3);
  loops.ink.at(1, 1) = 1;
  const Loops out = enlarged(std::move(loops), 2, 5, 6);
  EXPECT_EQ(out.loops[0].points, (std::vector<Point>{{2, 4}, {6, 8}}));
  EXPECT_EQ(out.loops[0].sigma_px, 1);
  EXPECT_EQ(out.loops[0].band_px, 20);
  EXPECT_EQ(out.loops[0].rounding_px, 6);
  EXPECT_EQ(out.loops[0].correlation_px, 14);
  EXPECT_EQ(out.guides[0].y0_px, 40);
  EXPECT_EQ(out.guides[0].slope, 0.01);
  EXPECT_EQ(out.ink.width, 5);
  EXPECT_EQ(out.ink.height, 6);
  // The pixel (1, 1) of the copy covers 2 .. 3 of the scan: it weighs most in its own four pixels.
  EXPECT_NEAR(sample(out.ink, 2.5, 2.5), 0.75 * 0.75, 1e-6);
  EXPECT_EQ(out.ink.at(0, 0), 0);
}

TEST(ReducedCopy, OptionsAreInPixelsOfTheCopy) {
  Options options;
  options.tolerance_px = 3;
  options.pins.push_back({});
  options.pins.back().places = {{10, 20}};
  const Options in_copy = reduced(options, 2);
  EXPECT_EQ(*in_copy.tolerance_px, 1.5);
  EXPECT_EQ(in_copy.pins[0].places[0], (Point{5, 10}));
}

}  // namespace
}  // namespace batten
