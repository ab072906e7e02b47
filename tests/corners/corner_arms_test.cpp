#include "corners/corner_arms.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

TEST(CornerArms, TwoCirclesMeetWhereGeometrySaysSo) {
  // A lens: arcs of radius 100 round (0, -60) and (0, 60) meet at (80, 0); 60-80-100 is a right triangle.
  std::vector<Point> lens;
  const double open = std::atan2(60.0, 80.0);
  for (double a = pi - open; a > open; a -= 0.005) lens.push_back({100 * std::cos(a), 100 * std::sin(a) - 60});
  for (double a = -open; a > -pi + open; a -= 0.005) lens.push_back({100 * std::cos(a), 100 * std::sin(a) + 60});
  const ArcLoop loop = resample(lens, 0.5);
  const double tip = nearest_arc(loop, {80, 0}, 0.5 * loop.length_px(), loop.length_px());
  const Arm a = fit_arm(loop, tip - 45, tip - 6, true, 6), b = fit_arm(loop, tip + 6, tip + 45, false, 6);
  double u = 0, v = 0;
  ASSERT_TRUE(meet(a, b, 30, &u, &v));
  EXPECT_LT(distance(along(a, u), {80, 0}), 0.15);
  // Tangents there stand at right angles to the radii (80, 60) and (80, -60): the turn is 2 atan(60/80).
  EXPECT_NEAR(std::abs(turn_between(heading(a, u), heading(b, -v))), 2 * std::atan2(60, 80), 0.02);
}

TEST(CornerArms, ParallelArmsDoNotMeet) {
  double u, v;
  EXPECT_FALSE(meet({{0, 0}, {1, 0}, 0}, {{0, 10}, {-1, 0}, 0}, 50, &u, &v));
}

TEST(CornerArms, AShortArmBendsLessThanItsPoints) {
  const double radius = 200;
  std::vector<Point> circle;
  for (double a = 0; a < 2 * pi; a += 0.001) circle.push_back(radius * direction(a));
  const ArcLoop loop = resample(circle, 0.25);
  const double scale = 10;  // arms are long from three scales on
  EXPECT_NEAR(std::abs(fit_arm(loop, 10, 42, false, scale).curvature), 1 / radius, 0.1 / radius);
  EXPECT_NEAR(std::abs(fit_arm(loop, 10, 25, false, scale).curvature), 0.5 / radius, 0.05 / radius);
}

TEST(CornerArms, AnAcuteCornerIsReadFromFartherOut) {
  EXPECT_DOUBLE_EQ(half_inner_angle_rad(90), pi / 4);
  EXPECT_DOUBLE_EQ(half_inner_angle_rad(170), half_inner_angle_rad(165));
  // Two bands of width W at an inner angle phi are one over W / (2 tan(phi / 2)).
  EXPECT_NEAR(arm_gap_px(10, 120), 5 / std::tan(pi / 6) + 2.5, 1e-12);
}

}  // namespace
}  // namespace batten
