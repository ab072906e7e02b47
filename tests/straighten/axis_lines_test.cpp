#include "straighten/axis_lines.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/drafts.h"
#include "support/letters.h"

namespace batten {
namespace {

using support::Polyline;

struct Drawn {
  SpacedLoops loops;
  Draft draft;
  explicit Drawn(const std::vector<Polyline>& polygons) {
    for (const Polyline& corners : polygons) {
      const Outline o = support::polygon(corners);
      loops.loops.push_back(support::exact_loop(support::points_of(o, 0.25)));
      draft.loops.push_back(support::draft_of(loops.loops.back(), o));
    }
  }
};

Polyline box(double left, double top, double right, double bottom) {
  return {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
}

const AxisLine& line_at(const std::vector<AxisLine>& lines, bool vertical, double at_px) {
  return *std::find_if(lines.begin(), lines.end(),
                       [&](const AxisLine& l) { return l.vertical == vertical && std::abs(l.at_px - at_px) < 1e-9; });
}

TEST(AxisLines, SayWhereTheyLieAndOnWhichSideTheInkIs) {
  const Drawn ring({box(40, 60, 240, 160), box(80, 90, 200, 130)});
  const auto lines = axis_lines(ring.loops, ring.draft);
  ASSERT_EQ(lines.size(), 8u);
  const AxisLine &left = line_at(lines, true, 40), &counter_left = line_at(lines, true, 80);
  EXPECT_EQ(left.low_px, 60);
  EXPECT_EQ(left.length_px(), 100);
  EXPECT_EQ(left.ink, 1) << "the ink lies to the right of the outer side";
  EXPECT_EQ(counter_left.loop, 1u);
  EXPECT_EQ(counter_left.ink, -1) << "and to the left of the counter's";
  EXPECT_EQ(line_at(lines, false, 60).ink, 1) << "below the top";
  EXPECT_EQ(line_at(lines, false, 160).ink, -1);
  EXPECT_EQ(line_at(lines, false, 90).ink, -1);
}

TEST(AxisLines, DirectionOfTravelDoesNotMatter) {
  Polyline outer = box(40, 60, 240, 160);
  std::reverse(outer.begin(), outer.end());
  const Drawn plate({outer});
  EXPECT_EQ(line_at(axis_lines(plate.loops, plate.draft), true, 40).ink, 1);
  EXPECT_FALSE(which_have_ink_at_right(plate.loops)[0]);
}

TEST(AxisLines, OnlyWhatLiesExactlyOnAnAxisCounts) {
  const Drawn leaning({{{40, 60}, {240, 60.5}, {260, 160}, {40, 160}}});
  const auto lines = axis_lines(leaning.loops, leaning.draft);
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_EQ(line_at(lines, true, 40).length_px(), 100);
  EXPECT_EQ(line_at(lines, false, 160).length_px(), 220);
}

// Errors are alike over a correlation length to either side: 540 px of 2 * 27 are ten independent points.
TEST(AxisLines, ALongStraightIsSureOfItsPlace) {
  SpacedLoop loop;
  loop.sigma_px = 0.4, loop.correlation_px = 27;
  EXPECT_NEAR(place_sd_px(loop, 540), 0.4 / std::sqrt(10.0), 1e-12);
  EXPECT_NEAR(place_sd_px(loop, 20), 0.4, 1e-12) << "never less sure than of one point";
}

// The figures are those of the header: 2.5 standard deviations, a tenth of the band, 0.3 of the tolerance.
TEST(AxisLines, TheSlackGrowsWithBandAndToleranceAndKeepsWithinTheLimit) {
  SpacedLoop loop;
  loop.sigma_px = 0.4, loop.correlation_px = 27, loop.band_px = 6, loop.tolerance_px = 2, loop.limit_px = 10;
  EXPECT_NEAR(slack_px(loop, 20), 2.5 * 0.4 + 0.6 + 0.6, 1e-12);
  loop.limit_px = 2;
  EXPECT_NEAR(slack_px(loop, 20), 1.8, 1e-12);
}

TEST(AxisLines, CountersBelongToTheirLetterAndLettersToTheirRow) {
  const Drawn sheet({box(40, 60, 140, 160), box(60, 80, 120, 140), box(200, 100, 260, 165), box(40, 300, 140, 420)});
  const LetterGroups groups = group_loops(sheet.loops);
  EXPECT_EQ(groups.letter, (std::vector<std::size_t>{0, 0, 2, 3}));
  EXPECT_EQ(groups.row[0], groups.row[1]);
  EXPECT_EQ(groups.row[0], groups.row[2]);
  EXPECT_NE(groups.row[0], groups.row[3]);
  ASSERT_EQ(groups.row_height_px.size(), 2u);
  EXPECT_NEAR(groups.row_height_px[groups.row[2]], 100, 0.5) << "the tallest letter's";
  EXPECT_NEAR(groups.row_height_px[groups.row[3]], 120, 0.5);
}

TEST(AxisLines, AChainOfSmallShapesJoinsNoTwoRows) {
  std::vector<Polyline> shapes{box(0, 0, 60, 100), box(400, 120, 460, 220)};
  for (int k = 0; k < 5; ++k) shapes.push_back(box(100 + 50 * k, 40 + 20 * k, 130 + 50 * k, 80 + 20 * k));
  const Drawn sheet(shapes);
  const LetterGroups groups = group_loops(sheet.loops);
  EXPECT_NE(groups.row[0], groups.row[1]);
}

TEST(AxisLines, TheViewOfASheetHoldsThemAll) {
  const Drawn ring({box(40, 60, 240, 160), box(80, 90, 200, 130)});
  const SheetView view{ring.loops, ring.draft};
  EXPECT_EQ(view.lines.size(), 8u);
  EXPECT_EQ(view.groups.letter[1], 0u);
  EXPECT_EQ(view.index.count(), 8 * quantity_count);
  EXPECT_EQ(ScalarIndex::quantity_of(view.index.of(1, Quantity::y, 2)), Quantity::y);
}

}  // namespace
}  // namespace batten
