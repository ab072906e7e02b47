#include "structure/place_nodes.h"

#include <gtest/gtest.h>

#include "structure/extremes.h"
#include "support/drafts.h"

namespace batten {
namespace {

DraftLoop placed(const SpacedLoop& loop, Options::Extremes extremes = Options::Extremes::required) {
  const Job job;
  Progress progress(job, Stage::structure, 0, 1);
  const SpacedLoops loops{{loop}};
  const auto corners = find_corners(loops, {}, 0, progress);
  const auto straights = find_straights(loops, *corners, progress);
  Options options;
  options.extremes = extremes;
  const auto draft = place_nodes(loops, *corners, *straights, options, progress);
  EXPECT_TRUE(draft.ok());
  return draft->loops.at(0);
}

int count(const DraftLoop& d, Reason reason) {
  return int(std::count_if(d.nodes.begin(), d.nodes.end(), [&](const DraftNode& j) { return j.reason == reason; }));
}

// A turned ellipse reaches sqrt(a^2 cos^2 + b^2 sin^2) to either side, at the parameter tan t = -(b / a) tan(turn).
TEST(PlaceNodes, ExtremesOfATurnedEllipseLieWhereCalculusPutsThem) {
  const double a = 90, b = 50, turn = 0.4;
  const DraftLoop d = placed(support::exact_loop(support::ellipse_points({200, 200}, a, b, turn, 0.1)));
  ASSERT_EQ(d.size(), 4u);
  const double reach_x = std::hypot(a * std::cos(turn), b * std::sin(turn)),
               reach_y = std::hypot(a * std::sin(turn), b * std::cos(turn));
  const auto on_ellipse = [&](double t) {
    const Point p{a * std::cos(t), b * std::sin(t)};
    return Point{200, 200} + p.x * direction(turn) + p.y * left_of(direction(turn));
  };
  const double tx = std::atan2(-b * std::sin(turn), a * std::cos(turn)),
               ty = std::atan2(b * std::cos(turn), a * std::sin(turn));
  for (const DraftNode& j : d.nodes) {
    EXPECT_TRUE(j.angle_fixed);
    if (j.reason == Reason::extreme_right || j.reason == Reason::extreme_left) {
      const Point truth = j.reason == Reason::extreme_right ? on_ellipse(tx) : on_ellipse(tx + pi);
      EXPECT_NEAR(std::abs(j.at.x - 200), reach_x, 0.05);
      EXPECT_NEAR(j.at.y, truth.y, 1.5);  // flat there: a px along it is 0.01 px across
    } else {
      const Point truth = j.reason == Reason::extreme_bottom ? on_ellipse(ty) : on_ellipse(ty + pi);
      EXPECT_NEAR(std::abs(j.at.y - 200), reach_y, 0.05);
      EXPECT_NEAR(j.at.x, truth.x, 1.5);
    }
  }
  for (Reason r : {Reason::extreme_left, Reason::extreme_right, Reason::extreme_top, Reason::extreme_bottom})
    EXPECT_EQ(count(d, r), 1);
}

TEST(PlaceNodes, WithoutTheRuleARoundHasTwoNodes) {
  const DraftLoop d = placed(support::exact_loop(support::circle_points({0, 0}, 70, 0.1)), Options::Extremes::free);
  EXPECT_EQ(d.size(), 2u);
  EXPECT_EQ(count(d, Reason::added), 2);
}

TEST(PlaceNodes, AStadiumHasTheEndsOfItsStraightsAndTwoExtremes) {
  support::Polyline p;
  for (int k = 0; k <= 200; ++k) p.push_back(Point{60, 0} + 40 * direction(-pi / 2 + pi * k / 200));
  for (int k = 0; k <= 200; ++k) p.push_back(Point{-60, 0} + 40 * direction(pi / 2 + pi * k / 200));
  const DraftLoop d = placed(support::exact_loop(p));
  EXPECT_EQ(count(d, Reason::straight_end), 4);
  EXPECT_EQ(count(d, Reason::extreme_left), 1);
  EXPECT_EQ(count(d, Reason::extreme_right), 1);
  EXPECT_EQ(d.size(), 6u);
  EXPECT_EQ(
      std::count_if(d.segments.begin(), d.segments.end(), [](const DraftSegment& q) { return q.straight && q.level; }),
      2);
}

TEST(PlaceNodes, CornersOfAPolygonLieOnItsSides) {
  const support::Polyline box = {{10, 10}, {110, 20}, {120, 80}, {20, 95}};
  const DraftLoop d = placed(support::exact_loop(box));
  ASSERT_EQ(d.size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_TRUE(d.nodes[i].corner);
    EXPECT_TRUE(d.segments[i].straight);
    double nearest = 1e9;
    for (Point p : box) nearest = std::min(nearest, distance(p, d.nodes[i].at));
    EXPECT_LT(nearest, 0.02);
  }
}

TEST(PlaceNodes, ADropHasASecondNode) {
  // One corner, no straight, no rule of extremes: an outline of one node would have no segment to speak of.
  const Outline drop = support::outline_from({{Point{150, 20}, {-60, 300}, {360, 300}, {150, 20}}});
  const DraftLoop d = placed(support::exact_loop(support::points_of(drop, 0.1)), Options::Extremes::free);
  EXPECT_EQ(d.size(), 2u);
  EXPECT_EQ(count(d, Reason::corner), 1);
}

TEST(PlaceNodes, NodesFollowTheLoop) {
  const DraftLoop d = placed(support::exact_loop(support::ellipse_points({0, 0}, 100, 40, 0.7, 0.1)));
  double sum = 0;
  const double length = support::exact_loop(support::ellipse_points({0, 0}, 100, 40, 0.7, 0.1)).curve.length_px();
  for (std::size_t i = 0; i < d.size(); ++i) {
    const double step = d.nodes[d.next(i)].arc - d.nodes[i].arc;
    sum += step < 0 ? step + length : step;
  }
  EXPECT_NEAR(sum, length, 1e-6) << "once round, in order";
}

TEST(ExtremesBetween, FlatOnesLieInTheMiddleAndShallowOnesAreNone) {
  ArcLoop wave;  // a plateau from 40 to 60 between slopes, and a bump of 0.2 px
  for (int i = 0; i <= 100; ++i) wave.points.push_back({double(i), i < 40 ? 40.0 - i : i > 60 ? i - 60.0 : 0.0});
  wave.points[20].y += 0.2;
  wave.points.push_back({50, 200});
  const auto found = extremes_between(wave, 1, 99, 0.5);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].reason, Reason::extreme_top);
  EXPECT_NEAR(found[0].arc, 50, 0.5);
}

TEST(AxisAngle, IsTheNearestQuarterTurn) {
  EXPECT_NEAR(axis_angle(0.3), 0, 1e-12);
  EXPECT_NEAR(axis_angle(1.2), pi / 2, 1e-12);
  EXPECT_NEAR(axis_angle(-1.5), -pi / 2, 1e-12);
  EXPECT_NEAR(std::abs(axis_angle(3.1)), pi, 1e-12);
}

}  // namespace
}  // namespace batten
