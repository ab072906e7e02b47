// Hypotheses about places whose band is a formula.
#include "corners/corner_hypotheses.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/band_drawing.h"

namespace batten {
namespace {

constexpr double w = 12, sd = 3, peak = 0.6;

struct DrawnPlace {
  PencilInk pencil;
  CornerScene scene;
};

// A place on a band of 12 px. The arms are told a little wrong, so that they have to move.
void build(DrawnPlace* p, const std::vector<Point>& line, Point centre, const Arm& before, const Arm& after) {
  const ArcLoop loop = resample(line, 1);
  const LoopIndex index({&loop}, 1.5, w);
  const double arc = nearest_arc(loop, centre, 0, loop.length_px());
  p->pencil.band_px = w, p->pencil.fade = {0, 0.15}, p->pencil.sample_variance = 2e-4;
  BandProfile& profile = p->pencil.profile;
  profile.half = 24, profile.step_px = w / 16;
  for (int k = -24; k <= 24; ++k) profile.ink.push_back(peak * std::exp(-0.5 * std::pow(k * profile.step_px / sd, 2)));
  p->scene.window =
      ink_window(support::band_along(line, 260, sd, peak), index, {0, arc, 6 * w, 6 * w}, centre, w, 2.5 * w);
  p->scene.sides = {{{before, profile}, {after, profile}}};
  p->scene.pencil = &p->pencil;
}

TEST(CornerHypotheses, OneCornerIsPutOnTheCorner) {
  const Point apex{130, 130};
  DrawnPlace p;
  build(&p, {{10, 130}, apex, {130, 10}}, apex, {{120, 131.5}, {1, 0}}, {{131.5, 120}, {0, 1}});
  const CornerHypothesis one = fit_one_corner(p.scene), two = fit_two_corners(p.scene);
  ASSERT_TRUE(one.valid);
  EXPECT_LT(distance(one.first, apex), 0.1 * w);
  EXPECT_EQ(one.first, one.second);
  EXPECT_NEAR(turn_of(one), 90, 3);
  // Two corners with the shortest side allowed come nearer to any ink; one leaves an rms of less than 4 % of the band's
  // peak.
  EXPECT_LT(std::sqrt(one.square_sum / double(p.scene.window.samples.size())), 0.038 * peak);
  EXPECT_LT(two.square_sum, one.square_sum);
}

TEST(CornerHypotheses, TwoCornersArePutOnBoth) {
  const Point a{120, 140}, b{134, 126};  // a side of 1.65 bands between two turns of 45 degrees
  DrawnPlace p;
  build(&p, {{10, 140}, a, b, {134, 10}}, 0.5 * (a + b), {{108, 140.8}, {1, 0}}, {{134.6, 114}, {0, 1}});
  const CornerHypothesis one = fit_one_corner(p.scene), two = fit_two_corners(p.scene), round = fit_round(p.scene);
  ASSERT_TRUE(two.valid);
  EXPECT_LT(distance(two.first, a), 2.5);
  EXPECT_LT(distance(two.second, b), 2.5);
  EXPECT_LT(two.square_sum, 0.25 * one.square_sum);
  EXPECT_LT(two.square_sum, round.square_sum);
}

TEST(CornerHypotheses, ARoundIsFittedAsARound) {
  std::vector<Point> line = {{10, 150}};
  for (double t = pi / 2; t > 0; t -= 0.05) line.push_back(Point{110, 120} + 30 * direction(t));
  line.push_back({140, 10});
  DrawnPlace p;
  build(&p, line, Point{110, 120} + 30 * direction(pi / 4), {{105, 150}, {1, 0}}, {{140, 115}, {0, 1}});
  const CornerHypothesis one = fit_one_corner(p.scene), round = fit_round(p.scene);
  ASSERT_TRUE(round.valid);
  EXPECT_LT(round.square_sum, 0.3 * one.square_sum);
}

TEST(CornerHypotheses, ArmsThatRunAlikeAreNoCorner) {
  DrawnPlace p;
  build(&p, {{10, 130}, {250, 130}}, {130, 130}, {{120, 130}, {1, 0}}, {{140, 130}, {-1, 0}});
  EXPECT_FALSE(fit_one_corner(p.scene).valid);
  EXPECT_LT(one_corner_residual(p.scene, {0, 0.15}), 0);
}

}  // namespace
}  // namespace batten
