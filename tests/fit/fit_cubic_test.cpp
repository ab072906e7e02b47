// The fit of one cubic against published values for the circle and against cubics that are known.
#include "fit/fit_cubic.h"

#include <gtest/gtest.h>

#include <cmath>

#include "fit/handle_caps.h"
#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

std::vector<Point> samples(const Cubic& c, int n) {
  std::vector<Point> points;
  for (int i = 0; i <= n; ++i) points.push_back(support::at(c, double(i) / n));
  return points;
}

CubicTask task_for(const std::vector<Point>& points, const Cubic& c) {
  CubicTask task;
  task.points = points;
  task.p0 = c[0], task.p3 = c[3], task.t0 = start_tangent(c), task.t3 = end_tangent(c);
  return task;
}

double worst_control_px(const Cubic& a, const Cubic& b) {
  double worst = 0;
  for (std::size_t k = 0; k < 4; ++k) worst = std::max(worst, distance(a[k], b[k]));
  return worst;
}

const Cubic known[] = {{Point{20, 200}, {100, 110}, {220, 90}, {300, 180}},  // an arch
                       {Point{20, 200}, {140, 60}, {180, 290}, {300, 150}},  // S-shaped
                       {Point{20, 200}, {60, 200}, {260, 120}, {300, 30}},   // from level
                       {Point{0, 0}, {30, -90}, {150, -120}, {160, -20}},    // uneven
                       {Point{0, 0}, {0, -160}, {140, -160}, {140, 0}}};     // more than a half circle is wide

/// Arc of the unit circle times `radius`, from the right, clockwise on screen.
std::vector<Point> arc_points(double radius, double angle, int n) {
  std::vector<Point> points;
  for (int i = 0; i <= n; ++i) points.push_back(radius * direction(angle * i / n));
  return points;
}

CubicFit fit_arc(double radius, double angle, bool minimax) {
  const std::vector<Point> points = arc_points(radius, angle, 240);
  CubicTask task;
  task.points = points;
  task.p0 = points.front(), task.p3 = points.back();
  task.t0 = {0, 1}, task.t3 = left_of(direction(angle));
  task.minimax = minimax;
  return fit_cubic(task);
}

double off_arc_px(const Cubic& c, double radius) {
  double worst = 0;
  for (int i = 0; i <= 4000; ++i) worst = std::max(worst, std::abs(norm(support::at(c, i / 4000.0)) - radius));
  return worst;
}

// Best handle k and least error of one cubic on an arc of 2 pi / n with its ends on the circle. n = 4: Vavpetic &
// Zagar, arXiv:2003.06672, 2020, for the optimality; Mortensen, "Approximate a circle with cubic Bezier curves", 2012,
// prints c = 0.551915024494. The other rows were computed the same way: k where inner and outer deviation are equal.
TEST(FitCubic, MinimaxOnTheCircleComesToThePublishedHandles) {
  struct Row {
    int n;
    double k, error;
  };
  for (const Row& row : {Row{2, 1.3157397401, 1.3195e-2},
                         {3, 0.7680874104, 1.1126e-3},
                         {4, 0.5519150244936, 1.9608e-4},
                         {6, 0.3572199520, 1.7114e-5},
                         {8, 0.2652058963, 3.0405e-6}}) {
    const CubicFit fit = fit_arc(1000, 2 * pi / row.n, true);
    EXPECT_LT(off_arc_px(fit.curve, 1000), 1.01 * 1000 * row.error) << row.n;
    EXPECT_GT(off_arc_px(fit.curve, 1000), 0.999 * 1000 * row.error) << row.n << ": better than the optimum?";
    EXPECT_NEAR(distance(fit.curve[0], fit.curve[1]) / 1000, row.k, 0.1 * row.error / row.k + 1e-6) << row.n;
  }
}

// de Boor, Hoellig, Sabin, "High accuracy geometric Hermite interpolation", CAGD 4, 1987: the error falls with h^6.
TEST(FitCubic, HalvingAnArcDividesTheErrorBySixtyFour) {
  double before = off_arc_px(fit_arc(1000, pi / 2, true).curve, 1000);
  for (const double angle : {pi / 4, pi / 8}) {
    const double error = off_arc_px(fit_arc(1000, angle, true).curve, 1000);
    EXPECT_NEAR(before / error, 64, 5) << degrees(angle);
    before = error;
  }
}

TEST(FitCubic, AKnownCubicComesBack) {
  for (const Cubic& c : known) {
    const std::vector<Point> points = samples(c, 200);
    const CubicFit fit = fit_cubic(task_for(points, c));
    EXPECT_LT(fit.max_px, 1e-3) << c[1].x;
    EXPECT_LT(worst_control_px(fit.curve, c), 0.02) << c[1].x;
  }
}

TEST(FitCubic, FreeDirectionsAreFound) {
  for (const Cubic& c : known) {
    const std::vector<Point> points = samples(c, 200);
    CubicTask task = task_for(points, c);
    task.t0 = direction(angle_of(task.t0) + 0.2), task.t3 = direction(angle_of(task.t3) - 0.15);
    task.free0 = task.free3 = true;
    EXPECT_LT(fit_cubic(task).max_px, 0.02) << c[1].x;
  }
}

// Least squares over all cubics between two ends beat the very cubic that the points were drawn from, if the best of
// the up to three minima is found.
TEST(FitCubic, NoisyPointsAreFittedNoWorseThanByTheTruth) {
  support::Random r("FitCubic", "noise");
  int worse = 0;
  for (int k = 0; k < 300; ++k) {
    const Point p0{0, 0}, p3{120, 0}, t0 = direction(-r.uniform(0.1, 1.2)), t3 = direction(r.uniform(0.1, 1.2));
    const HandleCaps caps = handle_caps(p0, t0, p3, t3);  // the truth must be one that it may choose
    const Cubic c{p0, p0 + r.uniform(0.4, 0.9) * caps.start_px * t0, p3 - r.uniform(0.4, 0.9) * caps.end_px * t3, p3};
    std::vector<Point> points = samples(c, 120);
    double truth = 0;
    const FootFinder finder(c);
    for (Point& p : points) {
      p = p + Point{r.normal(0.4), r.normal(0.4)};
      const double off = finder.foot(p).offset_px;
      truth += off * off / double(points.size());
    }
    const double rms = fit_cubic(task_for(points, c)).rms_px;
    worse += rms > 1.001 * std::sqrt(truth);
    EXPECT_LE(rms, 1.01 * std::sqrt(truth));
  }
  EXPECT_LE(worse, 2) << "of 300: the second best minimum";
}

TEST(FitCubic, APointOfNoWeightPullsNothing) {
  const Cubic c = known[0];
  std::vector<Point> points = samples(c, 100);
  std::vector<double> weights(points.size(), 1);
  points[50] = points[50] + Point{0, 40}, weights[50] = 0;
  CubicTask task = task_for(points, c);
  task.weights = weights;
  EXPECT_LT(worst_control_px(fit_cubic(task).curve, c), 0.02);
}

TEST(FitCubic, DegenerateRunsGiveFiniteCurves) {
  const std::vector<Point> two = {{0, 0}, {10, 0}}, one_place(5, Point{3, 3});
  std::vector<Point> ring = support::circle_points({0, 50}, 50, 1);  // from a corner back to itself
  for (const auto& points : {two, one_place, ring}) {
    CubicTask task;
    task.points = points;
    task.p0 = points.front(), task.p3 = &points == &ring ? points.front() : points.back();
    task.t0 = {1, 0}, task.t3 = {1, 0};
    task.free0 = task.free3 = task.minimax = true;
    const CubicFit fit = fit_cubic(task);
    for (Point p : fit.curve) EXPECT_TRUE(std::isfinite(p.x) && std::isfinite(p.y));
    EXPECT_TRUE(std::isfinite(fit.max_px) && std::isfinite(fit.rms_px));
  }
}

// Area and first moment give back a cubic's own handles (Levien, "Fitting cubic Bezier curves", 2021).
TEST(AreaMoment, TheHandlesOfAKnownCubicAreAmongTheSolutions) {
  for (const Cubic& c : known) {
    const double chord = distance(c[0], c[3]), h0 = distance(c[0], c[1]) / chord, h1 = distance(c[2], c[3]) / chord;
    double nearest = 1;
    for (const auto& [d0, d1] : area_moment_handles(samples(c, 20000), c[0], c[3], start_tangent(c), end_tangent(c)))
      nearest = std::min(nearest, std::hypot(d0 - h0, d1 - h1));
    EXPECT_LT(nearest, 1e-5) << c[1].x;  // the area under chords of 20,000 points is good to 1e-8
  }
}

// A quarter circle: 4 d s - d^2 = (20/3) of its area, s = sin 45 deg, solved for d: the handle is 0.5517784778 R.
TEST(AreaMoment, AQuarterCircleKeepsItsArea) {
  const double area = (pi / 4 - 0.5) / 2;  // over a chord of 1
  const double d = std::sqrt(2.0) - std::sqrt(2 - 20.0 / 3 * area);
  double nearest = 1;
  for (const auto& [d0, d1] : area_moment_handles(arc_points(1, pi / 2, 20000), {1, 0}, {0, 1}, {0, 1}, {-1, 0}))
    nearest = std::min(nearest, std::hypot(d0 - d, d1 - d));
  EXPECT_LT(nearest, 1e-5);
  EXPECT_NEAR(d * std::sqrt(2.0), 0.5517784778, 1e-9);
}

}  // namespace
}  // namespace batten
