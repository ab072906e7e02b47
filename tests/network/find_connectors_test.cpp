#include "network/find_connectors.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"
#include "network/find_network.h"

namespace batten {
namespace {

Network network_of(const std::vector<Polyline>& drawn, int width = 400, int height = 300) {
  const Job job;
  const Progress progress(job, Stage::locate, 0, 1);
  return *find_network(*find_lines(ink_of_lines({.width = width, .height = height}, drawn), {}, 2, progress), progress);
}

Polyline box(double x, double y, double width, double height) {
  return {{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}, {x, y}};
}

PointBox box_of_shape(const Network& network, const NetShape& shape) {
  return box_of(polygon_of(network.lines, shape.border));
}

// Is there exactly one shape with this box, to four pixels?
bool has_once(const Network& network, const PointBox& wanted) {
  int count = 0;
  for (const NetShape& shape : network.shapes) {
    const PointBox b = box_of_shape(network, shape);
    count += std::abs(b.low.x - wanted.low.x) < 4 && std::abs(b.low.y - wanted.low.y) < 4 &&
             std::abs(b.high.x - wanted.high.x) < 4 && std::abs(b.high.y - wanted.high.y) < 4;
  }
  return count == 1;
}

TEST(FindConnectors, ALineBetweenTwoBoxesIsOneFromEitherEnd) {
  const Network n = network_of({box(40, 100, 100, 80), box(260, 100, 100, 80), {{140, 140}, {260, 140}}});
  std::vector<Cycle> borders;
  for (const NetShape& shape : n.shapes) borders.push_back(shape.border);
  ASSERT_EQ(borders.size(), 2u);
  const std::vector<Cycle> found = find_connectors(n.lines, n.strokes, borders, 5);
  ASSERT_EQ(found.size(), 2u);
  EXPECT_EQ(found[0].size(), 1u);
  EXPECT_EQ(edge_of(found[0][0]), edge_of(found[1][0]));
  EXPECT_NEAR(n.lines.length_px(edge_of(found[0][0])), 120, 6);
}

TEST(FindConnectors, WhatDividesAFrameIsNone) {
  const Network n = network_of({box(40, 40, 320, 220), {{40, 150}, {360, 150}}});
  Cycle frame;
  for (const NetShape& shape : n.shapes)
    if (has_once(n, {{40, 40}, {360, 260}}) && box_of_shape(n, shape).high.y - box_of_shape(n, shape).low.y > 200)
      frame = shape.border;
  ASSERT_FALSE(frame.empty());
  EXPECT_TRUE(find_connectors(n.lines, n.strokes, {frame}, 5).empty());
}

// Two lines lead from one box to the other, and a frame's divider crosses both: neither the loop of the two lines nor
// what they cut off the frame was drawn as a shape.
TEST(FindConnectors, LoopsOfConnectorsAreNoShapes) {
  const Network n = network_of({box(10, 10, 380, 280),
                                {{10, 150}, {390, 150}},
                                box(60, 40, 280, 50),
                                box(60, 210, 280, 50),
                                {{120, 90}, {120, 210}},
                                {{280, 90}, {280, 210}}});
  EXPECT_TRUE(has_once(n, {{60, 40}, {340, 90}}));
  EXPECT_TRUE(has_once(n, {{60, 210}, {340, 260}}));
  EXPECT_TRUE(has_once(n, {{10, 10}, {390, 290}})) << "the frame";
  EXPECT_TRUE(has_once(n, {{10, 10}, {390, 150}})) << "its upper half";
  EXPECT_TRUE(has_once(n, {{10, 150}, {390, 290}})) << "its lower half";
  EXPECT_EQ(n.shapes.size(), 5u);
}

// Flat diamonds: a connector's line meets their sides at 35 degrees, less than a stroke may bend.
TEST(FindConnectors, ADiamondEndsTheLinesThatMeetItsTips) {
  const Polyline diamond{{200, 90}, {260, 132}, {200, 174}, {140, 132}, {200, 90}};
  const Network n = network_of({diamond,
                                box(20, 20, 60, 250),
                                {{80, 132}, {140, 132}},
                                {{260, 132}, {340, 132}},
                                {{340, 132}, {340, 40}, {80, 40}}});
  EXPECT_TRUE(has_once(n, {{140, 90}, {260, 174}}));
  EXPECT_TRUE(has_once(n, {{20, 20}, {80, 270}}));
}

TEST(FindConnectors, ATitleStripBelongsToItsFrameAndRowsOfATableStay) {
  const Network strip = network_of({box(10, 50, 380, 160), {{40, 50}, {40, 210}}});
  EXPECT_TRUE(has_once(strip, {{10, 50}, {390, 210}}));
  EXPECT_FALSE(has_once(strip, {{10, 50}, {40, 210}}));
  const Network table = network_of(
      {box(20, 20, 760, 740), {{20, 100}, {780, 100}}, {{20, 180}, {780, 180}}, {{20, 260}, {780, 260}}}, 800, 800);
  EXPECT_TRUE(has_once(table, {{20, 20}, {780, 100}}));
  EXPECT_TRUE(has_once(table, {{20, 100}, {780, 180}}));
}

}  // namespace
}  // namespace batten
