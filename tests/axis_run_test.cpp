#include "axis_run.h"

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
  for (std::size_t i = 0; i < loop.even.size(); ++i)
    if (loop.even.points[i].y < loop.even.at(top).y) top = double(i) * loop.even.step_px;
  const AxisRun run = axis_run(loop, false, top - 80, top + 80, top, 0.5);
  EXPECT_NEAR(run.growth, std::sqrt(2.5), 0.25);
  EXPECT_GT(std::abs(run.bow_px), 0.3);
}

}  // namespace
}  // namespace batten
