// Leaves of the corner stages against formulas.
#include <gtest/gtest.h>

#include <cmath>

#include "base/loop_index.h"
#include "corners/band_ink.h"
#include "corners/corner_arms.h"
#include "corners/corner_hypotheses.h"
#include "corners/small_least_squares.h"
#include "corners/tip_support.h"
#include "corners/turn_steps.h"
#include "support/band_drawing.h"
#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

ArcLoop polygon_loop(const std::vector<Point>& corners, double step_px = 1) { return resample(corners, step_px); }

TEST(NormalTable, AgreesWithTheErrorFunction) {
  const NormalTable phi;
  for (double x = -5; x <= 5; x += 0.013) EXPECT_NEAR(phi(x), 0.5 * std::erfc(-x / std::sqrt(2.0)), 1e-4);
}

// Rosenbrock's valley, 1960: the minimum of 100 (y - x^2)^2 + (1 - x)^2 is 0 at (1, 1).
TEST(SmallLeastSquares, FindsTheEndOfRosenbrocksValley) {
  std::array<double, 2> x{-1.2, 1};
  const double left = small_least_squares<2>(
      &x, {1e-6, 1e-6},
      [](const std::array<double, 2>& p, std::vector<double>* r) {
        *r = {10 * (p[1] - p[0] * p[0]), 1 - p[0]};
      },
      100);
  EXPECT_LT(left, 1e-3);
  EXPECT_NEAR(x[0], 1, 0.05);
}

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

TEST(TurnSteps, TellsOneStepFromTwoAndFromARound) {
  const double w = 10;
  const auto loop_with = [&](const std::vector<Point>& p) { return smooth(polygon_loop(p), 2.5); };
  const ArcLoop one = loop_with({{0, 0}, {200, 0}, {200, 200}, {0, 200}});
  const TurnSteps s1 = turn_steps(one, 200, 25, 25, w);
  const ArcLoop two = loop_with({{0, 0}, {185, 0}, {200, 15}, {200, 200}, {0, 200}});
  const TurnSteps s2 = turn_steps(two, 185 + 0.5 * std::hypot(15, 15), 25, 25, w);
  EXPECT_LT(s1.one, 0.1 * s2.one);
  EXPECT_LT(s2.two, 0.1 * s2.one);
  // Both turns are 45 degrees, hypot(15, 15) apart.
  EXPECT_NEAR(degrees(s2.first_turn_rad), 45, 6);
  EXPECT_NEAR(degrees(s2.second_turn_rad), 45, 6);
  EXPECT_NEAR(s2.second_px - s2.first_px, std::hypot(15, 15), 3);
  std::vector<Point> round = {{0, 0}};
  for (double a = -pi / 2; a < 0; a += 0.02) round.push_back({170 + 30 * std::cos(a), 30 + 30 * std::sin(a)});
  round.insert(round.end(), {{200, 200}, {0, 200}});
  const ArcLoop bend = loop_with(round);
  const TurnSteps s0 = turn_steps(bend, 170 + 30 * pi / 4, 25, 25, w);
  EXPECT_GT(s0.one, 4 * s0.free) << "a bend of three bands' radius is no narrow step";
}

struct Place {
  ArcLoop loop;
  Plane<float> ink;
  InkWindow window;
  NormalTable normal;
  ReadingScene scene;
};

// A place on a band of 12 px: arms told a little wrong, so that they have to move.
void build(Place* p, const std::vector<Point>& line, Point centre, Point base0, Point t0, Point base1, Point t1) {
  constexpr double w = 12;
  p->loop = resample(line, 1);
  p->ink = support::band_along(line, 260, 3);
  const LoopIndex index({&p->loop}, 1.5, w);
  const double arc = nearest_arc(p->loop, centre, 0, p->loop.length_px());
  p->window = ink_window(p->ink, index, {0, arc, 6 * w, 6 * w}, centre, w, 2.5 * w);
  BandProfile profile;
  profile.half = 24, profile.step_px = w / 16;
  for (int k = -24; k <= 24; ++k) profile.ink.push_back(0.6 * std::exp(-0.5 * std::pow(k * profile.step_px / 3, 2)));
  p->scene.window = &p->window, p->scene.normal = &p->normal;
  p->scene.before.base = base0, p->scene.before.tangent = t0, p->scene.before.profile = profile;
  p->scene.after.base = base1, p->scene.after.tangent = t1, p->scene.after.profile = profile;
  p->scene.side = profile, p->scene.fade = {0, 0.15}, p->scene.band_px = w, p->scene.sample_variance = 2e-4;
}

TEST(CornerReadings, OneCornerIsPutOnTheCorner) {
  const Point apex{130, 130};
  Place p;
  build(&p, {{10, 130}, apex, {130, 10}}, apex, {120, 131.5}, {1, 0}, {131.5, 120}, {0, 1});
  const CornerHypothesis one = fit_one_corner(p.scene), two = read_two(p.scene);
  ASSERT_TRUE(one.valid);
  EXPECT_LT(distance(one.first, apex), 0.1 * 12);
  // Two corners with the shortest side allowed come nearer to any ink; one leaves an rms of less than 4 % of the band's
  // peak of 0.6.
  EXPECT_LT(std::sqrt(one.square_sum / double(p.window.samples.size())), 0.038 * 0.6);
  EXPECT_LT(two.square_sum, one.square_sum);
}

TEST(CornerReadings, TwoCornersArePutOnBoth) {
  const Point a{120, 140}, b{134, 126};  // a side of 1.65 bands between two turns of 45 degrees
  Place p;
  build(&p, {{10, 140}, a, b, {134, 10}}, 0.5 * (a + b), {108, 140.8}, {1, 0}, {134.6, 114}, {0, 1});
  const CornerHypothesis one = fit_one_corner(p.scene), two = read_two(p.scene), round = read_round(p.scene);
  ASSERT_TRUE(two.valid);
  EXPECT_LT(distance(two.first, a), 2.5);
  EXPECT_LT(distance(two.second, b), 2.5);
  EXPECT_LT(two.square_sum, 0.25 * one.square_sum);
  EXPECT_LT(two.square_sum, round.square_sum);
}

TEST(CornerReadings, ARoundIsReadAsARound) {
  std::vector<Point> line = {{10, 150}};
  for (double t = pi / 2; t > 0; t -= 0.05) line.push_back({110 + 30 * std::cos(t), 120 + 30 * std::sin(t)});
  line.push_back({140, 10});
  Place p;
  build(&p, line, {110 + 30 * std::cos(pi / 4), 120 + 30 * std::sin(pi / 4)}, {105, 150}, {1, 0}, {140, 115}, {0, 1});
  const CornerHypothesis one = fit_one_corner(p.scene), round = read_round(p.scene);
  ASSERT_TRUE(round.valid);
  EXPECT_LT(round.square_sum, 0.3 * one.square_sum);
}

TEST(TipSupport, ATipEndsWhereTheInkEnds) {
  // A wedge of ink, inner angle 40 degrees, tip at (60, 130); arms that were read 9 px too far out are brought back.
  Plane<float> ink(260, 260);
  const double half = radians(20);
  for (int y = 0; y < 260; ++y)
    for (int x = 0; x < 260; ++x) {
      const double along = x + 0.5 - 60, off = along * std::sin(half) - std::abs(y + 0.5 - 130) * std::cos(half);
      ink.at(x, y) = float(std::clamp(off + 0.5, 0.0, 1.0) * (x < 200));
    }
  const Point tip = supported_tip(ink, {1, true}, {51, 130}, {66, 130}, 140, true);
  EXPECT_NEAR(tip.x, 60, 1.5);
  EXPECT_NEAR(tip.y, 130, 0.01);
  const Point kept = supported_tip(ink, {1, true}, {60, 130}, {66, 130}, 140, true);
  EXPECT_NEAR(kept.x, 60, 1);
}

}  // namespace
}  // namespace batten
