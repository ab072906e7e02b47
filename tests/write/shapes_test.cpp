// Which outlines make one shape, and in which order shapes are delivered.

#include "support/shapes.h"

#include <gtest/gtest.h>

#include <cmath>

#include "batten/write.h"

namespace batten {
namespace {

using Shapes = std::vector<std::vector<std::size_t>>;

Outline box(double left, double top, double side, int parent = -1) {
  Outline outline = support::polygon({{left, top}, {left + side, top}, {left + side, top + side}, {left, top + side}});
  outline.parent = parent;
  return outline;
}

Shapes shapes_of(std::vector<Outline> outlines) {
  Drawing drawing;
  drawing.outlines = std::move(outlines);
  return shapes(drawing);
}

TEST(Shapes, ACounterFollowsItsOutlineAndAnIslandIsAShape) {
  // Island, counter, outer outline, second counter: parents may come after their children.
  EXPECT_EQ(shapes_of({box(40, 40, 20, 1), box(20, 20, 60, 2), box(0, 0, 200), box(120, 20, 60, 2)}),
            (Shapes{{2, 1, 3}, {0}}));
}

TEST(Shapes, ComeInReadingOrder) {
  EXPECT_EQ(shapes_of({box(100, 100, 50), box(0, 100, 50), box(100, 0, 50), box(0, 0, 50)}),
            (Shapes{{3}, {2}, {1}, {0}}));
}

TEST(Shapes, WhatNoFileCanHoldIsLeftOut) {
  Outline no_number = box(0, 0, 50), far = box(60, 0, 50);
  no_number.nodes[1].handle_after.y = std::nan("");
  far.nodes[0].at.x = 2e9;
  EXPECT_EQ(shapes_of({no_number, far, {}, box(0, 100, 50)}), (Shapes{{3}}));
  EXPECT_TRUE(shapes_of({}).empty());
}

TEST(Shapes, ParentsInARingOrAmissEachMakeAShape) {
  EXPECT_EQ(shapes_of({box(0, 0, 50, 1), box(100, 0, 50, 0), box(200, 0, 50, 99)}), (Shapes{{0}, {1}, {2}}));
}

}  // namespace
}  // namespace batten
