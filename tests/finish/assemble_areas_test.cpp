#include "finish/assemble_areas.h"

#include <gtest/gtest.h>

#include <cmath>

#include "batten/measure.h"

namespace batten {
namespace {

Outline line(const std::vector<Point>& points) {
  Outline o;
  for (const Point p : points) o.nodes.push_back({p, p, p, false, Reason::corner});
  o.nodes.front().reason = o.nodes.back().reason = Reason::line_end;
  o.closed = false, o.kind = Kind::line, o.band_px = 4;
  return o;
}
Outline closed(const std::vector<Point>& points) {
  Outline o = line(points);
  o.closed = true, o.kind = Kind::outlined;
  return o;
}
Outline square(Point corner, double side) {
  return closed({corner, corner + Point{side, 0}, corner + Point{side, side}, corner + Point{0, side}});
}

// A small square let into the upper side of a U: the smaller lies within the box of the larger and within its hull, but
// beside it.
TEST(AssembleAreas, NeighboursLieBesideOneAnother) {
  Drawing d;
  d.outlines = {line({{40, 0}, {40, 30}, {60, 30}, {60, 0}}),
                line({{60, 0}, {100, 0}, {100, 80}, {0, 80}, {0, 0}, {40, 0}}), line({{60, 0}, {40, 0}}),
                line({{300, 300}, {320, 310}})};
  const Assembly a = assemble_areas(d, {{{{0, false}, {1, false}}}, {{{0, false}, {2, false}}}}, {});
  ASSERT_EQ(a.drawing.outlines.size(), 3u);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_TRUE(a.drawing.outlines[i].closed);
    EXPECT_EQ(a.drawing.outlines[i].parent, -1);
    EXPECT_GT(signed_area_px2(a.drawing.outlines[i]), 0);
    EXPECT_EQ(a.drawing.outlines[i].band_px, 4);
  }
  EXPECT_NEAR(signed_area_px2(a.drawing.outlines[0]), 100 * 80 - 20 * 30, 1e-9);
  EXPECT_NEAR(signed_area_px2(a.drawing.outlines[1]), 20 * 30, 1e-9);
  EXPECT_FALSE(a.drawing.outlines[2].closed);
  EXPECT_EQ(a.outline_of, (std::vector<int>{0, 0, 1, 2}));
}

TEST(AssembleAreas, WhatLiesInAnAreaIsItsCounter) {
  Drawing d;
  d.outlines = {square({20, 20}, 10), line({{0, 0}, {100, 0}, {100, 100}}), line({{100, 100}, {0, 100}, {0, 0}})};
  const Point low = d.outlines[0].nodes[2].at;
  for (const auto direction : {Options::Direction::clockwise, Options::Direction::anticlockwise}) {
    Options options;
    options.direction = direction;
    const Assembly a = assemble_areas(d, {{{{1, false}, {2, false}}}}, options);
    ASSERT_EQ(a.drawing.outlines.size(), 2u);
    EXPECT_EQ(a.drawing.outlines[0].parent, 1);
    const double sense = direction == Options::Direction::clockwise ? 1 : -1;
    EXPECT_LT(sense * signed_area_px2(a.drawing.outlines[0]), 0);
    EXPECT_GT(sense * signed_area_px2(a.drawing.outlines[1]), 0);
    EXPECT_EQ(a.drawing.outlines[1].nodes[0].at, (Point{0, 100}));  // its lowest corner, the leftmost
    ASSERT_EQ(a.node_of[0].size(), 4u);
    EXPECT_EQ(a.drawing.outlines[0].nodes[std::size_t(a.node_of[0][2])].at, low);
  }
}

// Two halves of a circle whose ends share their direction make a smooth node; a line that meets another at an angle, a
// corner.
TEST(AssembleAreas, NodesAreSmoothWhereDirectionsAreShared) {
  constexpr double k = 40 * 0.5522847498;
  Outline upper, lower;
  upper.nodes = {{{-40, 0}, {-40, 0}, {-40, -k}, false},
                 {{-k, -40}, {0, -40}, {k, -40}, true},
                 {{40, -k}, {40, 0}, {40, 0}, false}};
  lower.nodes = {
      {{40, 0}, {40, 0}, {40, k}, false}, {{k, 40}, {0, 40}, {-k, 40}, true}, {{-40, k}, {-40, 0}, {-40, 0}, false}};
  upper.closed = lower.closed = false;
  Drawing d;
  d.outlines = {upper, lower, line({{40, 0}, {-40, 0}})};
  const Assembly a = assemble_areas(d, {{{{0, false}, {1, false}}}, {{{0, false}, {2, false}}}}, {});
  const auto node_at = [](const Outline& o, Point p) {
    for (const Node& n : o.nodes)
      if (n.at == p) return n;
    return Node{};
  };
  EXPECT_TRUE(node_at(a.drawing.outlines[0], {40, 0}).smooth);
  EXPECT_EQ(node_at(a.drawing.outlines[0], {40, 0}).reason, Reason::added);
  EXPECT_FALSE(node_at(a.drawing.outlines[1], {40, 0}).smooth);
  EXPECT_EQ(node_at(a.drawing.outlines[1], {40, 0}).reason, Reason::corner);
}

TEST(AssembleAreas, WhatCrossesItselfStaysLinesAndIsNamed) {
  Drawing d;
  d.outlines = {line({{0, 0}, {100, 100}, {100, 0}}), line({{100, 0}, {0, 100}, {0, 0}})};
  const Assembly a = assemble_areas(d, {{{{0, false}, {1, false}}}}, {});
  ASSERT_EQ(a.drawing.outlines.size(), 2u);
  EXPECT_FALSE(a.drawing.outlines[0].closed || a.drawing.outlines[1].closed);
  ASSERT_EQ(a.crossed.size(), 1u);
  EXPECT_EQ(a.crossed[0].nodes.size(), 4u);
}

TEST(AssembleAreas, WhatDoesNotCloseStaysLines) {
  Drawing d;
  d.outlines = {square({0, 0}, 10), line({{0, 50}, {50, 50}}), line({{50, 50}, {0, 51}})};
  const Assembly a = assemble_areas(d, {{{{1, false}, {2, false}}}, {{{0, false}}}, {{{9, false}}}, {}}, {});
  ASSERT_EQ(a.drawing.outlines.size(), 3u);
  EXPECT_TRUE(a.drawing.outlines[0].closed);
  EXPECT_FALSE(a.drawing.outlines[1].closed);
  EXPECT_FALSE(a.drawing.outlines[2].closed);
}

}  // namespace
}  // namespace batten
