// Cells are labelled by hand here; heights matter on the borders between them only. W is 6 px and T is 1.
#include "shapes/merge_cells.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/landscape.h"

namespace batten {
namespace {

using testing::cells_of;
using testing::heights_of;
using testing::number_of_labels;
using testing::within;

const auto as_dark_as_a_line = [](int, int) { return 1.; };

template <class Label, class Height>
std::size_t left_after_merging(int count, const Label& label_at, const Height& height_at) {
  const HeightMap heights = heights_of(200, 140, height_at);
  return number_of_labels(merge_cells(heights, cells_of(200, 140, count, label_at), {}).cells);
}

// An inside of 100 x 40 px, parted in the middle by a border 40 px long: too long for a pinch.
int two_rooms(int x, int y) { return within(x, y, {50, 50, 100, 40}) ? (x < 100 ? 1 : 2) : 0; }

template <class Height>
std::size_t rooms_left(const Height& height_on_border) {
  return left_after_merging(3, two_rooms, [&](int x, int y) {
    const bool border = (x == 99 || x == 100) && y >= 50 && y < 90;
    return border ? height_on_border(y) : 1;
  });
}

TEST(MergeCells, ALineAsDarkAsTheOthersParts) {
  EXPECT_EQ(rooms_left([](int) { return 1.; }), 3u);
  EXPECT_EQ(rooms_left([](int) { return 0.6; }), 3u);
}

TEST(MergeCells, ABorderFaintAsPaperGrainPartsNothing) {
  EXPECT_EQ(rooms_left([](int) { return 0.4; }), 3u);
  EXPECT_EQ(rooms_left([](int) { return 0.3; }), 2u);
}

TEST(MergeCells, AShortBorderWithAGapMayBeALittleDarker) {
  const auto with_gap = [](double rest) { return [rest](int y) { return y == 70 ? 0.1 : rest; }; };
  EXPECT_EQ(rooms_left(with_gap(0.6)), 2u);
  EXPECT_EQ(rooms_left(with_gap(0.7)), 3u);
}

// A strip along one side of an inside, as two strokes of one line leave it between them.
std::size_t left_beside_a_strip(int strip_px, bool door) {
  return left_after_merging(
      3,
      [&](int x, int y) {
        return within(x, y, {40, 40, strip_px, 80}) ? 2 : within(x, y, {40, 40, 120, 80}) ? 1 : 0;
      },
      [&](int x, int y) { return door && y == 80 && x >= 40 + strip_px - 1 && x <= 40 + strip_px ? 0.25 : 1; });
}

TEST(MergeCells, AGapBetweenStrokesIsNoInside) {
  EXPECT_EQ(left_beside_a_strip(6, false), 2u) << "in-radius of half a band";
  EXPECT_EQ(left_beside_a_strip(8, false), 3u) << "in-radius of two thirds, no door";
  EXPECT_EQ(left_beside_a_strip(8, true), 2u) << "the same with a door";
  EXPECT_EQ(left_beside_a_strip(12, true), 3u) << "in-radius of a whole band";
}

// A gap between two strokes along the left side of an inside: 14 px wide, wider than two bands, and 60 px long; a lens,
// or a strip with square ends.
std::size_t left_beside_a_gap(bool lens, int inside_px) {
  return left_after_merging(
      3,
      [&](int x, int y) {
        const double half_px = lens ? 7 * (1 - std::pow((y - 70) / 30., 2)) : std::abs(y - 70) < 30 ? 7 : 0;
        if (std::abs(x - 40) < half_px) return 2;
        return within(x, y, {40, 10, inside_px, 120}) ? 1 : 0;
      },
      as_dark_as_a_line);
}

TEST(MergeCells, AGapThatPartsTheStrokesOfOneEdgeIsNoInside) {
  EXPECT_EQ(left_beside_a_gap(true, 120), 2u);
  EXPECT_EQ(left_beside_a_gap(false, 120), 3u) << "a strip that was drawn";
  EXPECT_EQ(left_beside_a_gap(true, 20), 3u) << "as long as most of the edge: an inside beside an inside";
}

TEST(MergeCells, ASliverGoesToTheNeighbourBehindTheLowestSaddle) {
  const auto label = [](int x, int y) {
    return within(x, y, {40, 40, 6, 80}) ? 2 : within(x, y, {40, 40, 120, 80}) ? 1 : 0;
  };
  for (const bool outwards : {false, true}) {
    const int saddle_x = outwards ? 40 : 45;
    const HeightMap heights = heights_of(200, 140, [&](int x, int y) {
      return y == 80 && (x == saddle_x || x == saddle_x + (outwards ? -1 : 1)) ? 0.5 : 1;
    });
    const CellMap map = merge_cells(heights, cells_of(200, 140, 3, label), {});
    EXPECT_EQ(map.cells.labels.at(42, 60), map.cells.labels.at(outwards ? 10 : 100, 60));
  }
}

// Two rooms of 70 x 80 px joined by a channel 20 px wide; the border crosses the channel.
int two_rooms_and_a_channel(int x, int y) {
  const bool room = within(x, y, {20, 30, 70, 80}) || within(x, y, {110, 30, 70, 80});
  return room || within(x, y, {90, 60, 20, 20}) ? (x < 100 ? 1 : 2) : 0;
}

// Two discs of 60 px radius that overlap along a chord of 20 px.
int two_discs(int x, int y) {
  const double u = x - 99.5, v = y - 69.5, centre = 59.2;
  if (std::hypot(std::abs(u) - centre, v) > 60) return 0;
  return u < 0 ? 1 : 2;
}

TEST(MergeCells, AnInsidePinchedByItsOwnLinesIsOne) {
  EXPECT_EQ(left_after_merging(3, two_rooms_and_a_channel, as_dark_as_a_line), 2u);
  EXPECT_EQ(left_after_merging(3, two_rooms_and_a_channel, [](int x, int) { return std::abs(x - 99.5) < 1 ? 0.8 : 1; }),
            2u);
}

TEST(MergeCells, TwoRoundShapesThatTouchStayTwo) {
  EXPECT_EQ(left_after_merging(3, two_discs, as_dark_as_a_line), 3u);
  EXPECT_EQ(left_after_merging(3, two_discs, [](int x, int) { return std::abs(x - 99.5) < 1 ? 0.8 : 1; }), 2u)
      << "paler than a line, it is a pinch";
}

// Two rooms of 24 x 24 px: their border is a quarter of either perimeter.
TEST(MergeCells, ASmallRoomsOwnWallIsNoPinchUnlessItHasADoor) {
  const auto label = [](int x, int y) { return within(x, y, {60, 60, 48, 24}) ? (x < 84 ? 1 : 2) : 0; };
  const auto wall = [](bool door) {
    return [door](int x, int y) {
      return (x != 83 && x != 84) || y < 60 || y >= 84 ? 1 : door && y == 70 ? 0.25 : 0.85;
    };
  };
  EXPECT_EQ(left_after_merging(3, label, wall(false)), 3u);
  EXPECT_EQ(left_after_merging(3, label, wall(true)), 2u);
}

TEST(MergeCells, BordersAndTheFrameAreThoseOfTheMergedCells) {
  const HeightMap heights =
      heights_of(200, 140, [](int x, int y) { return (x == 99 || x == 100) && y >= 50 && y < 90 ? 0.3 : 0.9; });
  const CellMap map = merge_cells(heights, cells_of(200, 140, 3, two_rooms), {});
  const int inside = map.cells.labels.at(70, 70), outside = map.cells.labels.at(0, 0);
  ASSERT_EQ(inside, map.cells.labels.at(130, 70));
  EXPECT_TRUE(map.at_frame[outside]);
  EXPECT_FALSE(map.at_frame[inside]);
  ASSERT_EQ(map.borders[inside].size(), 1u);
  const Border& border = map.borders[inside].at(outside);
  EXPECT_EQ(border.length_px(), 2 * (100 + 40));
  EXPECT_FLOAT_EQ(border.lowest, 0.9f);
  EXPECT_EQ(map.borders[outside].at(inside).length_px(), border.length_px());
}

CellMap map_with(int count, std::initializer_list<std::tuple<int, int, int>> borders) {
  CellMap map{{{}, count}, std::vector<bool>(count, false), std::vector<std::map<int, Border>>(count)};
  map.at_frame[0] = true;
  for (const auto& [a, b, length_px] : borders)
    map.borders[a][b].heights = map.borders[b][a].heights = std::vector<float>(length_px, 1.f);
  return map;
}

TEST(ParityOf, AlternatesFromTheFrameInwards) {
  EXPECT_EQ(parity_of(map_with(4, {{0, 1, 300}, {1, 2, 200}, {2, 3, 100}})), (std::vector<int>{0, 1, 0, 1}));
}

TEST(ParityOf, AShortFalseContactDecidesNothing) {
  // A counter that touches the paper outside in five pixels is paper all the same.
  EXPECT_EQ(parity_of(map_with(3, {{0, 1, 300}, {1, 2, 100}, {0, 2, 5}})), (std::vector<int>{0, 1, 0}));
}

TEST(ParityOf, ACellThatTouchesNothingIsUnknown) {
  EXPECT_EQ(parity_of(map_with(3, {{0, 1, 300}})), (std::vector<int>{0, 1, -1}));
}

}  // namespace
}  // namespace batten
