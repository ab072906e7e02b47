#include "ink/find_holes.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

// An A4 sheet, 4 px to a millimetre.
PencilSheet a4() { return PencilSheet(1188, 840); }
constexpr double mm = 4;

std::vector<Hole> found(const PencilSheet& sheet) { return find_holes(sheet.ink, {}, {}); }

// ISO 838: 6 mm wide, 12 mm from the edge, 80 mm apart, in pairs round the middle of the edge.
TEST(FindHoles, TwoAndFourAsInIso838) {
  for (const bool four : {false, true}) {
    PencilSheet sheet = a4();
    sheet.box(200, 200, 500, 500);
    std::vector<double> x_mm{148.5 - 40, 148.5 + 40};
    if (four) x_mm.insert(x_mm.end(), {148.5 - 120, 148.5 + 120});
    for (const double x : x_mm) sheet.disc({x * mm, 12 * mm}, 3 * mm, 0.6);
    const std::vector<Hole> holes = found(sheet);
    ASSERT_EQ(holes.size(), x_mm.size());
    for (const Hole& h : holes) {
      EXPECT_NEAR(h.centre.y, 12 * mm - 0.5, 1);
      EXPECT_NEAR(h.radius_px, 3 * mm, 1.5);
      double nearest = 1e9;
      for (const double x : x_mm) nearest = std::min(nearest, std::abs(h.centre.x - (x * mm - 0.5)));
      EXPECT_LT(nearest, 1);
    }
  }
}

TEST(FindHoles, ThoseThatThePictureCutsToo) {
  PencilSheet sheet = a4();
  for (int i = 0; i < 4; ++i) sheet.disc({114 + 320. * i, 40 - 13. * i}, 12, 0.6);
  EXPECT_EQ(found(sheet).size(), 4u);
}

TEST(FindHoles, WhatIsDrawnIsNone) {
  PencilSheet inside = a4(), near = a4(), uneven = a4(), rings = a4(), joined = a4(), pale = a4(), alone = a4();
  for (int i = 0; i < 4; ++i) {
    inside.disc({114 + 320. * i, 300}, 12, 0.6);  // far from any edge
    near.disc({400 + 60. * i, 48}, 12, 0.6);      // dots of a drawing
    uneven.disc({114 + 320. * i, 48}, 13 - 4 * i, 0.6);
    rings.ring({114 + 320. * i, 48}, 12, 3, 0.6);
    joined.disc({114 + 320. * i, 48}, 12, 0.6);
    pale.disc({114 + 320. * i, 48}, 12, 0.15);
  }
  joined.line({114, 48}, {1100, 48}, 4, 0.6);
  alone.disc({434, 48}, 12, 0.6);
  int which = 0;
  for (const PencilSheet& sheet : {inside, near, uneven, rings, joined, pale, alone, a4()}) {
    EXPECT_TRUE(found(sheet).empty()) << which;
    ++which;
  }
}

TEST(FindHoles, TheEdgeOfTheSheetCounts) {
  PencilSheet sheet = a4();  // lies with its left edge at x = 400 on a table
  Plane<std::uint8_t> no_sheet(297, 210);
  for (int y = 0; y < 210; ++y)
    for (int x = 0; x < 100; ++x) no_sheet.at(x, y) = 1;
  for (int i = 0; i < 2; ++i) sheet.disc({448, 260 + 320. * i}, 12, 0.6);
  EXPECT_TRUE(found(sheet).empty());
  EXPECT_EQ(find_holes(sheet.ink, no_sheet, {}).size(), 2u);
}

TEST(LiesInHole, TheRimBelongsToItAndWhatRunsPastDoesNot) {
  const std::vector<Hole> holes{{{60, 40}, 10}, {{160, 40}, 10}};
  std::vector<Point> ring, frame;
  for (int k = 0; k < 60; ++k) ring.push_back(Point{60, 40} + 14 * direction(2 * pi * k / 60));
  for (int x = 0; x < 200; ++x) frame.push_back({double(x), 40});
  EXPECT_TRUE(lies_in_hole(holes, ring));
  EXPECT_FALSE(lies_in_hole(holes, frame));
  EXPECT_FALSE(lies_in_hole({}, ring));
  ring.push_back({160, 40});
  EXPECT_FALSE(lies_in_hole(holes, ring)) << "in one of them, not in all together";
}

}  // namespace
}  // namespace batten
