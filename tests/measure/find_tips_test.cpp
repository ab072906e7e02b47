#include "measure/find_tips.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.h"

namespace batten {
namespace {

// A square of 200 px whose corners are rounded by `radius_px`, as locating rounds them.
std::vector<Point> rounded_square(double radius_px) {
  std::vector<Point> out;
  const std::vector<Point> middles{{200 - radius_px, radius_px},
                                   {200 - radius_px, 200 - radius_px},
                                   {radius_px, 200 - radius_px},
                                   {radius_px, radius_px}};
  for (int k = 0; k < 4; ++k)
    for (int i = 0; i <= 20; ++i) {
      const double a = (k - 1 + i / 20.) * 1.5707963267948966;
      out.push_back(middles[std::size_t(k)] + Point{radius_px * std::cos(a), radius_px * std::sin(a)});
    }
  return out;
}

// A circle of radius r in a corner leaves r (sqrt 2 - 1) to its apex.
double to_apex_px(double radius_px) { return radius_px * (std::sqrt(2) - 1); }

TEST(FindTips, CornersOfARoundedLoopAreTipsAndNothingStrays) {
  const Outline square = support::polygon({{0, 0}, {200, 0}, {200, 200}, {0, 200}});
  const TipsFound found = find_tips(square, rounded_square(20), 2, 10);
  ASSERT_EQ(found.tips.size(), 4u);
  for (std::size_t k = 0; k < 4; ++k) {
    EXPECT_EQ(found.tips[k].node, k);
    EXPECT_NEAR(found.tips[k].length_px, to_apex_px(20), 0.05);
    // On a side at u from the apex the circle is sqrt((20 - u)^2 + 20^2) - 20 away: 2 px at u = 20 - sqrt(84).
    EXPECT_NEAR(found.tips[k].along_px, 2 * (20 - std::sqrt(84)), 2.5) << "samples are 1 px apart";
  }
  EXPECT_LE(found.strayed_px, 2);
  EXPECT_TRUE(find_tips(square, rounded_square(4), 2, 10).tips.empty()) << "1.7 px off is no tip";
}

TEST(FindTips, WhatLeavesItsLineWhereThereIsNoCornerStrays) {
  Outline bulge = support::polygon({{0, 0}, {200, 0}, {200, 200}, {0, 200}});
  // The middle half of a side as a curve that leaves it by 3/4 of its handles' 12 px.
  Node a{{50, 0}, {50, 0}, {80, -12}, true, Reason::added}, b{{120, -12}, {150, 0}, {150, 0}, true, Reason::added};
  bulge.nodes.insert(bulge.nodes.begin() + 1, {a, b});
  const std::vector<Point> line{{0, 0}, {200, 0}, {200, 200}, {0, 200}};
  const TipsFound found = find_tips(bulge, line, 2, 10);
  EXPECT_TRUE(found.tips.empty());
  EXPECT_NEAR(found.strayed_px, 9, 0.05);
  // The other way: a line with a bulge that the outline has not.
  std::vector<Point> bent{{0, 0}, {80, 0}, {100, -7}, {120, 0}, {200, 0}, {200, 200}, {0, 200}};
  EXPECT_NEAR(find_tips(support::polygon(line), bent, 2, 10).strayed_px, 7, 0.3);
}

// The first node of an outline is no end: a tip there is one tip.
TEST(FindTips, ATipAtTheFirstNodeIsOne) {
  const Outline triangle = support::polygon({{300, 100}, {0, 130}, {0, 70}});
  std::vector<Point> blunt{{240, 106}, {0, 130}, {0, 70}, {240, 94}};
  const TipsFound found = find_tips(triangle, blunt, 2, 25);
  ASSERT_EQ(found.tips.size(), 1u);
  EXPECT_EQ(found.tips[0].node, 0u);
  EXPECT_NEAR(found.tips[0].length_px, 60, 0.5);
  EXPECT_NEAR(found.tips[0].along_px, 2 * 58, 5);
}

// Bands 10 px wide explain tips of 60 px along. A longer one counts where the line stops short of both sides of the
// corner, as in a crotch that pencil has filled, and not where it lies beside one of them.
TEST(FindTips, ALongTipIsNoLongerThanItsTwoSides) {
  const Outline triangle = support::polygon({{300, 100}, {0, 130}, {0, 70}});
  const std::vector<Point> blunt{{240, 106}, {0, 130}, {0, 70}, {240, 94}};
  const TipsFound crotch = find_tips(triangle, blunt, 2, 10);
  ASSERT_EQ(crotch.tips.size(), 1u);
  EXPECT_NEAR(crotch.tips[0].length_px, 60, 0.5);
  EXPECT_LE(crotch.strayed_px, 2);
  const std::vector<Point> beside{{300, 100}, {0, 130}, {0, 70}, {200, 76}};
  const TipsFound side = find_tips(triangle, beside, 2, 10);
  EXPECT_TRUE(side.tips.empty());
  // From the corner of the line, (200, 76), to the side of the triangle through (0, 70) and (300, 100).
  EXPECT_NEAR(side.strayed_px, 14 / std::hypot(1, 0.1), 0.5);
}

TEST(FindTips, ALineHasTipsAtItsCornersAndWhereItLeadsOn) {
  Outline line = support::polygon({{0, 0}, {100, 0}, {100, 100}});
  line.closed = false;
  line.nodes.front().reason = line.nodes.back().reason = Reason::line_end;
  std::vector<Point> located{{0, 0}, {70, 0}};
  for (int i = 0; i <= 20; ++i) {
    const double a = (i / 20. - 1) * 1.5707963267948966;
    located.push_back({70 + 30 * std::cos(a), 30 + 30 * std::sin(a)});
  }
  located.push_back({100, 100});
  const TipsFound found = find_tips(line, located, 2, 10);
  ASSERT_EQ(found.tips.size(), 1u);
  EXPECT_EQ(found.tips[0].node, 1u);
  EXPECT_NEAR(found.tips[0].length_px, to_apex_px(30), 0.1);
  located.back().y = 90;
  const TipsFound longer = find_tips(line, located, 2, 10);
  ASSERT_EQ(longer.tips.size(), 2u) << "an end that leads on";
  EXPECT_EQ(longer.tips[1].node, 2u);
  EXPECT_NEAR(longer.tips[1].length_px, 10, 0.1);
  EXPECT_LE(longer.strayed_px, 2);
}

}  // namespace
}  // namespace batten
