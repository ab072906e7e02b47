#include "corners/turn_steps.h"

#include <gtest/gtest.h>

#include <cmath>

#include "corners/step_model.h"

namespace batten {
namespace {

constexpr double band = 10;

// A closed polyline, its corners rounded as locating rounds them.
ArcLoop located(const std::vector<Point>& line) { return smooth(resample(line, 1), 0.25 * band); }

TEST(TurnSteps, OneStepExplainsAPlainCorner) {
  const TurnSteps s = turn_steps(located({{0, 0}, {200, 0}, {200, 200}, {0, 200}}), 200, 25, 25, band);
  EXPECT_LT(std::sqrt(s.one), radians(5)) << "of 90";
  EXPECT_LE(s.free, s.one);
  EXPECT_LE(s.two, s.one);
}

TEST(TurnSteps, TwoStepsExplainTheEndsOfAShortSide) {
  // A corner cut off at 45 degrees over 21 px, two bands.
  const ArcLoop two = located({{0, 0}, {185, 0}, {200, 15}, {200, 200}, {0, 200}});
  const TurnSteps s = turn_steps(two, 185 + 0.5 * std::hypot(15, 15), 25, 25, band);
  EXPECT_LT(s.two, 0.1 * s.one);
  EXPECT_LT(s.two, 0.3 * s.free);
}

TEST(TurnSteps, AWideStepExplainsARound) {
  std::vector<Point> round = {{0, 0}};
  for (double a = -pi / 2; a < 0; a += 0.02) round.push_back(Point{170, 30} + 30 * direction(a));
  round.insert(round.end(), {{200, 200}, {0, 200}});
  const TurnSteps s = turn_steps(located(round), 170 + 30 * pi / 4, 25, 25, band);
  EXPECT_GT(s.one, 4 * s.free) << "a bend of three bands' radius is no narrow step";
}

TEST(StepModel, ReadsTheHeightOfAStepWhateverTheLevel) {
  std::vector<double> places, theta;
  for (double u = -20; u <= 20; u += 0.5) {
    places.push_back(u);
    theta.push_back(40 + 0.7 * 0.5 * std::erfc(-(u - 3) / (2 * std::sqrt(2.0))));
  }
  const StepModel model(places, theta, 10);
  const StepFit right = model.fit(model.step(3, 2));
  EXPECT_NEAR(right.turn_rad, 0.7, 1e-3);
  EXPECT_LT(right.mean_square_rad2, 1e-6);
  EXPECT_GT(model.fit(model.step(-6, 2)).mean_square_rad2, 1e-3);
  const StepFit both = model.fit(model.step(-10, 2), model.step(3, 2));
  EXPECT_NEAR(both.turn_rad, 0, 0.02) << "nothing turns at the first place";
}

}  // namespace
}  // namespace batten
