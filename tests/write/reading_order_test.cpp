#include "write/reading_order.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

std::vector<std::size_t> order(std::vector<ShapeBox> boxes) { return reading_order(boxes); }
using Indices = std::vector<std::size_t>;

TEST(ReadingOrder, RowsFromTopToBottomEachFromLeftToRight) {
  EXPECT_EQ(order({}), Indices{});
  EXPECT_EQ(order({{200, 5, 250, 55}, {100, 110, 150, 160}, {0, 0, 50, 50}, {0, 100, 50, 150}}), (Indices{2, 0, 3, 1}));
}

// Letter boxes in px for an x-height of 50, ascenders and descenders of 30.
ShapeBox x_height(double left, double line) { return {left, line, left + 40, line + 50}; }
ShapeBox ascender(double left, double line) { return {left, line - 30, left + 40, line + 50}; }
ShapeBox descender(double left, double line) { return {left, line, left + 40, line + 80}; }

TEST(ReadingOrder, AscendersAndDescendersStayWithTheirRow) {
  // Two rows set so tight that the descenders of the first reach beside the ascenders of the second.
  const double first = 100, second = 195;
  EXPECT_EQ(order({ascender(0, second), x_height(50, second), ascender(100, second), descender(0, first),
                   x_height(50, first), ascender(100, first)}),
            (Indices{3, 4, 5, 0, 1, 2}));
}

TEST(ReadingOrder, DotsAccentsAndCommasStayWithTheirRow) {
  // "ici," without a letter taller than the x-height: the dots stand above every letter, the comma hangs below.
  const std::vector<ShapeBox> word = {{0, 100, 10, 150},  {0, 82, 10, 92},  {20, 100, 60, 150},
                                      {70, 100, 80, 150}, {70, 82, 80, 92}, {90, 142, 98, 165}};
  EXPECT_EQ(order(word), (Indices{1, 0, 2, 4, 3, 5}));
}

TEST(ReadingOrder, ATallInitialDoesNotWeldItsRows) {
  std::vector<ShapeBox> boxes = {{0, 0, 100, 200}};  // spans both rows
  for (int row = 0; row < 2; ++row)
    for (int i = 0; i < 3; ++i) boxes.push_back(x_height(120 + 50 * i, 120.0 * row + 10));
  EXPECT_EQ(order(boxes), (Indices{0, 1, 2, 3, 4, 5, 6}));
}

TEST(ReadingOrder, SlantedRowsHoldTogether) {
  std::vector<ShapeBox> boxes;
  for (int row = 0; row < 3; ++row)
    for (int i = 0; i < 8; ++i) boxes.push_back(x_height(50 * i, 100 + 100 * row + 2.5 * i));  // three degrees
  Indices expected(boxes.size());
  for (std::size_t i = 0; i < expected.size(); ++i) expected[i] = i;
  EXPECT_EQ(order(boxes), expected);
}

TEST(BoundingBox, CountsTheCurveNotItsHandles) {
  // Two half ellipses: handles 4/3 of the height off give a curve that rises 3/4 of that, exactly 10 px.
  Outline outline;
  outline.nodes = {{{0, 50 + 40.0 / 3}, {0, 50}, {0, 50 - 40.0 / 3}, true, Reason::extreme_left},
                   {{100, 50 - 40.0 / 3}, {100, 50}, {100, 50 + 40.0 / 3}, true, Reason::extreme_right}};
  const ShapeBox box = bounding_box(outline);
  EXPECT_NEAR(box.top, 40, 1e-12);
  EXPECT_NEAR(box.bottom, 60, 1e-12);
  EXPECT_EQ(box.left, 0);
  EXPECT_EQ(box.right, 100);
}

TEST(ReadingOrder, BoxesShareHeightOrHaveAGap) {
  const ShapeBox letter{0, 100, 40, 150}, beside{60, 120, 90, 180}, below{0, 160, 40, 200};
  EXPECT_EQ(shared_height(letter, beside), 30);
  EXPECT_EQ(shared_height(below, letter), -10);
  EXPECT_EQ(letter.middle_x(), 20);
}

}  // namespace
}  // namespace batten
