#include "structure/axis_run.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/drafts.h"

namespace batten {
namespace {

TEST(AxisRun, TheTiltOfASideIsThatOfItsEnds) {
  // A side that falls by 3 px over 200: atan(3 / 200) = 0.859 degrees.
  const SpacedLoop loop =
      support::exact_loop(support::points_of(support::polygon({{50, 50}, {250, 53}, {250, 150}, {50, 150}}), 0.5));
  EXPECT_NEAR(tilt_of_run_deg(loop, false, 10, 190), std::atan(3.0 / 200) * 180 / 3.14159265358979, 0.01);
}

TEST(AxisRun, ARunEndsWhereTheLineDoes) {
  const SpacedLoop loop =
      support::exact_loop(support::points_of(support::polygon({{50, 50}, {250, 50}, {250, 150}, {50, 150}}), 0.5));
  const AxisRun run = axis_run(loop, false, 5, 195, 100, 0.2);
  EXPECT_NEAR(run.at_px, 50, 1e-6);
  EXPECT_NEAR(run.length_px(), 190, 1);
  EXPECT_NEAR(run.bow_px, 0, 1e-9);
}

TEST(AxisRun, OnACircleItIsAChordThatGrowsWithTheReach) {
  // Within d of its mean line an arc of radius R is about sqrt(R d) long: 2.5 times the reach gives 1.58 times the run.
  const SpacedLoop loop = support::exact_loop(support::circle_points({200, 200}, 100, 0.5));
  double top = 0;
  for (std::size_t i = 0; i < loop.curve.size(); ++i)
    if (loop.curve.points[i].y < loop.curve.at(top).y) top = double(i) * loop.curve.step_px;
  const AxisRun run = axis_run(loop, false, top - 80, top + 80, top, 0.5);
  EXPECT_NEAR(run.growth, std::sqrt(2.5), 0.25);
  EXPECT_GT(std::abs(run.bow_px), 0.3);
}

TEST(AxisRun, TheOverhangIsHowFarItReachesIntoTheRound) {
  // A side that ends at x = 200 and runs on into a circle of 60 px: within 0.5 px of its line it reaches on by some
  // sqrt(2 * 60 * 0.5) = 8 px.
  constexpr double radius = 60;
  support::Polyline points;
  for (double x = 50; x < 200; x += 0.5) points.push_back({x, 100});
  for (double a = 0; a < 1.5; a += 0.005)
    points.push_back({200 + radius * std::sin(a), 100 + radius * (1 - std::cos(a))});
  points.push_back({50, 100 + radius});
  const SpacedLoop loop = support::exact_loop(points);
  const AxisRun run = axis_run(loop, false, 0, 220, 75, 0.5);
  EXPECT_GT(run.to, 155);
  EXPECT_NEAR(run.to - run.over_to_px, 150, 2.5);
  EXPECT_EQ(run.over_from_px, 0) << "nothing to run on into";
}

}  // namespace
}  // namespace batten
