#include "corners/lead_ends.h"

#include <gtest/gtest.h>

#include "base/polyline.h"

namespace batten {
namespace {

Loop line(Point from, Point to, LineEnd start = {}, LineEnd end = {}) {
  Loop loop;
  const int steps = int(distance(from, to));
  for (int i = 0; i <= steps; ++i) loop.points.push_back(from + (double(i) / steps) * (to - from));
  loop.open = true, loop.kind = Kind::line, loop.band_px = 6, loop.start = start, loop.end = end;
  return loop;
}
LineEnd junction(int number) {
  LineEnd e;
  e.junction = number;
  return e;
}
LineEnd on(int loop) {
  LineEnd e;
  e.on_loop = loop;
  return e;
}
double length_px(const Loop& loop) { return open_length_px(loop.points); }

// Three lines that aim at (100, 100), two of which end short of it and one behind it.
TEST(LeadEnds, LinesOfAJunctionMeetWhereTheyAim) {
  Loops loops;
  loops.loops = {line({0, 100}, {93, 100}, {}, junction(5)), line({100, 108}, {100, 200}, junction(5)),
                 line({200, 0}, {96, 104}, {}, junction(5))};
  ASSERT_TRUE(has_loose_ends(loops));
  const Loops led = lead_ends(loops);
  const Point at = led.loops[0].points.back();
  EXPECT_LT(distance(at, {100, 100}), 0.5);
  EXPECT_EQ(led.loops[1].points.front(), at);
  EXPECT_EQ(led.loops[2].points.back(), at);
  EXPECT_NEAR(length_px(led.loops[0]), 100, 0.6);
  EXPECT_NEAR(length_px(led.loops[1]), 100, 0.6);
  EXPECT_NEAR(length_px(led.loops[2]), 100 * std::sqrt(2), 0.6) << "cut back";
  EXPECT_EQ(led.loops[0].points.front(), (Point{0, 100}));
  EXPECT_FALSE(has_loose_ends(led));
}

TEST(LeadEnds, ALineGoesOnStraightToTheCurveThatItEndsOn) {
  Loops loops;
  loops.loops = {line({0, 0}, {200, 0}), line({20, 80}, {98, 2}, {}, on(0)), line({150, 60}, {150, -3}, {}, on(0))};
  const Loops led = lead_ends(loops);
  EXPECT_LT(distance(led.loops[1].points.back(), {100, 0}), 1e-6);
  EXPECT_LT(distance(led.loops[2].points.back(), {150, 0}), 1e-6);
  EXPECT_NEAR(length_px(led.loops[2]), 60, 1e-6);
  EXPECT_EQ(led.loops[0].points.size(), loops.loops[0].points.size());
}

TEST(LeadEnds, WhatIsFarOffOrTogetherStays) {
  Loops loops;
  loops.loops = {line({0, 0}, {200, 0}), line({50, 90}, {50, 40}, {}, on(0)), line({0, 0}, {0, 50}, junction(1)),
                 line({0, 0}, {-50, 50}, junction(1)), line({9, 9}, {30, 30}, on(77), junction(-1))};
  const Loops led = lead_ends(loops);
  for (std::size_t k = 0; k < loops.loops.size(); ++k) EXPECT_TRUE(led.loops[k].points == loops.loops[k].points) << k;
  EXPECT_EQ(led.loops[1].end.on_loop, -1) << "an end that stays far off is free";
  EXPECT_EQ(led.loops[2].start.junction, 1);
}

TEST(LeadEnds, TheBorderOfAnAreaKeepsItsJunction) {
  Loops loops;
  loops.loops = {line({0, 0}, {60, 0}, junction(2), junction(1)), line({60, 90}, {0, 90}, junction(1), junction(2))};
  for (const bool area : {false, true}) {
    if (area) loops.areas = {{{{0, false}, {1, false}}, Kind::line}};
    EXPECT_EQ(lead_ends(loops).loops[0].end.junction, area ? 1 : -1);
  }
}

// Once a point, its way back had a billion steps.
TEST(LeadEnds, AShortLineWithBothEndsAtOneJunctionIsNotCutBackToAPoint) {
  Loops loops;
  loops.loops = {line({0, 100}, {98, 100}, {}, junction(5)), line({100, 102}, {100, 200}, junction(5)),
                 line({97, 101}, {103, 99}, junction(5), junction(5))};
  const Loops led = lead_ends(loops);
  EXPECT_GT(length_px(led.loops[2]), 2);
  EXPECT_GT(length_px(led.loops[0]), 90);
}

}  // namespace
}  // namespace batten
