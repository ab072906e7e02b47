#include "straighten/mirror_loop.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/drafts.h"

namespace batten {
namespace {

TEST(MirrorLoop, TheAxisOfAnEllipseIsItsCentre) {
  const SpacedLoop loop = support::exact_loop(support::ellipse_points({203.7, 150.2}, 120, 90, 0, 0.5));
  const auto axis_x = mirror_axis_x(loop, 0.5);
  ASSERT_TRUE(axis_x);
  EXPECT_NEAR(*axis_x, 203.7, 0.01);
}

TEST(MirrorLoop, ATriangleThatLeansHasNone) {
  const auto leaning = support::points_of(support::polygon({{100, 40}, {220, 240}, {60, 240}}), 0.5);
  EXPECT_FALSE(mirror_axis_x(support::exact_loop(leaning), 1));
  const auto vertical = support::points_of(support::polygon({{140, 40}, {220, 240}, {60, 240}}), 0.5);
  const auto axis_x = mirror_axis_x(support::exact_loop(vertical), 1);
  ASSERT_TRUE(axis_x);
  EXPECT_NEAR(*axis_x, 140, 0.1) << "the centroid of a triangle lies below its apex if it is isosceles";
}

TEST(MirrorLoop, HalfAndImageAreMirrored) {
  const support::Polyline corners{{140, 40}, {220, 240}, {60.4, 240}};
  const SpacedLoop loop = support::exact_loop(support::points_of(support::polygon(corners), 0.5));
  DraftLoop d;
  double arc = 0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    DraftNode j;
    j.at = j.anchor = corners[i], j.arc = arc, j.corner = true, j.reason = Reason::corner;
    d.nodes.push_back(j);
    DraftSegment p;
    p.straight = true;
    d.segments.push_back(p);
    arc += distance(corners[i], corners[(i + 1) % corners.size()]);
  }
  for (const bool left : {true, false}) {
    const auto half = mirrored_half(loop, d, 140, left);
    ASSERT_TRUE(half);
    ASSERT_EQ(half->size(), 3u);
    double sum = 0;
    for (const DraftNode& j : half->nodes) sum += j.at.x - 140;
    EXPECT_NEAR(sum, 0, 1e-12);
    double arcs = 0;
    for (std::size_t i = 0; i < 3; ++i) arcs += loop.curve.ahead(half->nodes[i].arc, half->nodes[half->next(i)].arc);
    EXPECT_NEAR(arcs, loop.curve.length_px(), 1e-6) << "once round, in the order of travel";
  }
}

}  // namespace
}  // namespace batten
