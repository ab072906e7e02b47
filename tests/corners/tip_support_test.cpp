#include "corners/tip_support.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

constexpr int size = 260;

// A wedge of ink, or of paper in ink, inner angle 40 degrees, tip at (60, 130), open to the right.
Plane<float> wedge(bool of_ink) {
  Plane<float> ink(size, size);
  const double half = radians(20);
  for (int y = 0; y < size; ++y)
    for (int x = 0; x < size; ++x) {
      const double along = x + 0.5 - 60, off = along * std::sin(half) - std::abs(y + 0.5 - 130) * std::cos(half);
      const double inside = std::clamp(off + 0.5, 0.0, 1.0);
      ink.at(x, y) = float(of_ink ? inside : 1 - inside);
    }
  return ink;
}

TEST(TipSupport, ATipThatWasReadTooFarOutEndsWhereTheInkEnds) {
  const Point tip = supported_tip(wedge(true), {1, true}, {51, 130}, {66, 130}, 140, true);
  EXPECT_NEAR(tip.x, 60, 1.5);
  EXPECT_NEAR(tip.y, 130, 0.01);
}

TEST(TipSupport, ATipWithinItsInkStays) {
  EXPECT_EQ(supported_tip(wedge(true), {1, true}, {64, 130}, {70, 130}, 140, true), (Point{64, 130}));
  EXPECT_NEAR(supported_tip(wedge(true), {1, true}, {60, 130}, {66, 130}, 140, true).x, 60, 0.5);
}

TEST(TipSupport, ANotchEndsWhereThePaperEnds) {
  const Plane<float> ink = wedge(false);
  EXPECT_NEAR(supported_tip(ink, {1, true}, {51, 130}, {66, 130}, 140, false).x, 60, 1.5);
  EXPECT_NEAR(supported_tip(ink, {1, true}, {51, 130}, {66, 130}, 140, true).x, 66, 3) << "as a tip it has no ink";
}

TEST(TipSupport, TheInkOfAFillLiesOnOneSideOfItsEdge) {
  Plane<float> ink(size, size);
  for (int y = 60; y < 200; ++y)
    for (int x = 60; x < 200; ++x) ink.at(x, y) = 0.8f;
  const std::vector<Point> square = {{60, 60}, {200, 60}, {200, 200}, {60, 200}};
  const FillInk fill = fill_ink(resample(square, 0.5), ink);
  EXPECT_NEAR(fill.level, 0.8, 0.01);
  EXPECT_TRUE(fill.inside_left) << "along the top edge, to the right, left_of() points down the page";
  const std::vector<Point> back(square.rbegin(), square.rend());
  EXPECT_FALSE(fill_ink(resample(back, 0.5), ink).inside_left);
}

}  // namespace
}  // namespace batten
