#include "ink/find_circles.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

PencilSheet letter() {
  PencilSheet sheet(800, 700);
  sheet.box(220, 120, 560, 580, 4, 0.75);
  sheet.line({220, 350}, {560, 350}, 4, 0.75);
  return sheet;
}

Circles found(const PencilSheet& sheet) {
  const Job job;
  Progress progress(job, Stage::guides, 0, 1);
  const auto scanned = sheet.scan(9);
  const auto scan = load_scan(scanned.view(), progress);
  return find_circles(view_of(*separate_ink(*scan, progress), {}), {});
}

// A closed line round a centre at radius(angle).
template <class Radius>
void draw_round(Point centre, Radius radius, double width, double darkness, PencilSheet* sheet) {
  std::vector<Point> corners;
  for (int i = 0; i < 120; ++i) corners.push_back(centre + radius(2 * pi * i / 120) * direction(2 * pi * i / 120));
  sheet->polygon(corners, width, darkness);
}

TEST(FindCircles, ACompassLineAcrossALetter) {
  PencilSheet sheet = letter();
  sheet.ring({380.3, 330.6}, 141.2, 2, 0.2);
  const Circles c = found(sheet.with_grain(2));
  ASSERT_EQ(c.circles.size(), 1u);
  EXPECT_LT(distance(c.circles[0].centre, {379.8, 330.1}), 0.2);  // pixel centres are half a pixel off the page
  EXPECT_NEAR(c.circles[0].radius_px, 141.2, 0.2);
  EXPECT_NEAR(c.circles[0].width_px, 2.3, 1);
  EXPECT_NEAR(c.circles[0].darkness, 0.1, 0.05);
}

TEST(FindCircles, TheFootOfACupThatReachesBeyondTheSheet) {
  PencilSheet sheet = letter();
  sheet.ring({730, 640}, 120, 8, 0.14);
  sheet.disc({730, 640}, 116, 0.04);
  const Circles c = found(sheet.with_grain(2));
  ASSERT_EQ(c.circles.size(), 1u);
  EXPECT_LT(distance(c.circles[0].centre, {729.5, 639.5}), 0.5);
  EXPECT_NEAR(c.circles[0].radius_px, 120, 0.5);
  EXPECT_NEAR(c.circles[0].width_px, 8, 1.5);
}

TEST(FindCircles, SeveralAreFoundAndTouchingOnesToo) {
  PencilSheet sheet = letter();
  sheet.ring({300, 300}, 90, 2, 0.2);
  sheet.ring({480, 300}, 90, 2, 0.2);
  sheet.ring({390, 350}, 180, 2, 0.2);
  EXPECT_EQ(found(sheet.with_grain(2)).circles.size(), 3u);
}

TEST(FindCircles, WhatIsDrawnIsNoneOfThem) {
  PencilSheet plain = letter(), dark = letter(), by_hand = letter(), oval = letter(), half = letter();
  dark.ring({380, 330}, 140, 2.5, 0.65);  // thinner than the letter, but as dark
  draw_round(
      {380, 330}, [](double a) { return 140 + 2.5 * std::sin(3 * a) + 2 * std::sin(5 * a + 1); }, 2, 0.2, &by_hand);
  draw_round(
      {380, 330}, [](double a) { return 140 + 14 * std::cos(2 * a); }, 2, 0.2, &oval);
  for (int i = 0; i < 60; ++i)  // a pale bow of half a turn
    half.line(Point{380, 330} + 140. * direction(pi * i / 60), Point{380, 330} + 140. * direction(pi * (i + 1) / 60), 2,
              0.2);
  int which = 0;
  for (const PencilSheet& sheet : {plain, dark, by_hand, oval, half}) {
    EXPECT_TRUE(found(sheet.with_grain(2)).circles.empty()) << which;
    ++which;
  }
}

TEST(FindCircles, ALetterThatIsRoundIsNone) {
  PencilSheet sheet(800, 700);
  sheet.ring({390, 350}, 250, 4, 0.75);
  sheet.ring({390, 350}, 170, 4, 0.6);
  EXPECT_TRUE(found(sheet.with_grain(2)).circles.empty());
}

TEST(FindCircles, SmallAndBarePicturesHaveNone) {
  EXPECT_TRUE(found(PencilSheet(40, 300)).circles.empty());
  EXPECT_TRUE(found(PencilSheet(400, 300)).circles.empty());
}

}  // namespace
}  // namespace batten
