// How the sheet lay on the glass, from letters turned by known angles.
#include "structure/sheet_axes.h"

#include <gtest/gtest.h>

#include "support/drafts.h"
#include "support/letters.h"

namespace batten {
namespace {

using support::Polyline;

SheetAxes axes_of(const std::vector<Polyline>& polygons, const std::vector<Guide>& guides = {}) {
  const Job job;
  Progress progress(job, Stage::structure, 0, 1);
  SpacedLoops loops;
  for (const Polyline& p : polygons) loops.loops.push_back(support::exact_loop(p));
  const auto corners = find_corners(loops, {}, 0, progress);
  const auto straights = find_straights(loops, *corners, progress);
  EXPECT_TRUE(straights.ok());
  return find_sheet_axes(loops, *straights, guides);
}

std::vector<Polyline> row() {
  return {support::letter_h(40, 30, 30, 50, 24, 230, 40), support::letter_l(190, 30, 100, 26, 230, 40),
          support::letter_i(330, 30, 230, 40)};
}

// Turned about the middle of the sheet, positive clockwise on screen (y runs down).
std::vector<Polyline> turned(std::vector<Polyline> polygons, double deg) {
  for (Polyline& polygon : polygons)
    for (Point& p : polygon) {
      const Point q = p - Point{210, 135};
      p = Point{210, 135} + q.x * direction(radians(deg)) + q.y * direction(radians(deg) + pi / 2);
    }
  return polygons;
}

// x moves by tan(lean) for each pixel up: letters that lean to the right.
std::vector<Polyline> leaning(std::vector<Polyline> polygons, double deg) {
  for (Polyline& polygon : polygons)
    for (Point& p : polygon) p.x += std::tan(radians(deg)) * (230 - p.y);
  return polygons;
}

TEST(SheetAxes, AKnownTurnIsRecovered) {
  for (const double deg : {-4.7, -2.3, -0.4, 0.0, 0.9, 2.3, 5.0}) {
    const SheetAxes axes = axes_of(turned(row(), deg));
    ASSERT_TRUE(axes.turn_known) << deg;
    EXPECT_NEAR(axes.turn_deg, deg, 0.05) << "exact points tell it to a few hundredths of a degree";
    EXPECT_GT(axes.turn_sd_deg, 0);
    EXPECT_LT(axes.turn_sd_deg, 0.5);
    ASSERT_EQ(axes.of_loop.size(), 3u);
  }
}

TEST(SheetAxes, MoreThanASheetIsEverAskewIsNoTurn) {
  const SheetAxes axes = axes_of(turned(row(), largest_turn_deg + 3));
  EXPECT_FALSE(axes.turn_known);
}

TEST(SheetAxes, LettersThatLeanAreNoTurn) {
  // Feet and crossbars stay level, so the sheet lies straight; the letters are drawn to lean and keep their lean.
  for (const double deg : {-8.0, 8.0, 12.0}) {
    const SheetAxes axes = axes_of(leaning(row(), deg));
    ASSERT_TRUE(axes.turn_known) << deg;
    EXPECT_NEAR(axes.turn_deg, 0, 0.1) << deg;
    for (const AxisIntent& intent : axes.of_loop) {
      EXPECT_TRUE(intent.level);
      EXPECT_FALSE(intent.vertical) << deg;
    }
  }
  for (const AxisIntent& intent : axes_of(row()).of_loop) EXPECT_TRUE(intent.level && intent.vertical);
}

TEST(SheetAxes, RuledLinesHaveTheFirstWord) {
  // tan 1.7 degrees, by a table: 0.029679.
  EXPECT_NEAR(axes_of(row(), {{100, 0.029679}}).turn_deg, 1.7, 1e-4);
  // The middle of several; one that is steeper than any sheet is askew does not count.
  EXPECT_NEAR(axes_of(row(), {{100, 0.029679}, {150, 0.029679}, {200, 0.05}}).turn_deg, 1.7, 1e-4);
  EXPECT_NEAR(axes_of(row(), {{100, 0.029679}, {200, 0.5}}).turn_deg, 1.7, 1e-4);
  EXPECT_LT(axes_of(row(), {{1, 0}, {2, 0}, {3, 0}, {4, 0}}).turn_sd_deg, axes_of(row(), {{1, 0}}).turn_sd_deg);
}

TEST(SheetAxes, NothingStraightSaysNothing) {
  const SheetAxes axes = axes_of({support::circle_points({100, 100}, 60, 0.5)});
  EXPECT_FALSE(axes.turn_known);
  ASSERT_EQ(axes.of_loop.size(), 1u);
  EXPECT_TRUE(axes.of_loop[0].level && axes.of_loop[0].vertical) << "nothing speaks against it";
}

TEST(SheetAxes, ACounterGoesWithItsLetter) {
  // A leaning frame with a vertical counter so small that alone it would speak for itself.
  Polyline frame = leaning({{{40, 40}, {200, 40}, {200, 230}, {40, 230}}}, 10)[0];
  const Polyline counter{{120, 150}, {120, 190}, {150, 190}, {150, 150}};
  const SheetAxes axes = axes_of({frame, counter});
  ASSERT_EQ(axes.of_loop.size(), 2u);
  EXPECT_EQ(axes.of_loop[0].vertical, axes.of_loop[1].vertical);
  EXPECT_EQ(axes.of_loop[0].level, axes.of_loop[1].level);
}

}  // namespace
}  // namespace batten
