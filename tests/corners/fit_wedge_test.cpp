// Acute corners whose bands have run together, against the places that they were built from.
#include "corners/fit_wedge.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/band_drawing.h"

namespace batten {
namespace {

constexpr double w = 12, sd = 3, peak = 0.6;
constexpr int size = 420;

std::vector<Point> reversed(std::vector<Point> side) { return {side.rbegin(), side.rend()}; }

// Two sides that lead to one tip, as they were drawn; the loop as locating leaves it: cut off where the sides are less
// than 0.8 bands apart, for from there on one middle is all there is.
CornerHypothesis fitted(const std::vector<Point>& before, const std::vector<Point>& after, double cut_px) {
  std::vector<Point> drawn = before, located;
  for (Point p : reversed(after)) drawn.push_back(p);
  const Point tip = before.back();
  for (Point p : before)
    if (distance(p, tip) > cut_px) located.push_back(p);
  const Point far = located.front();
  for (Point p : reversed(after))
    if (distance(p, tip) > cut_px) located.push_back(p);
  located.push_back({size - 15.0, located.back().y}), located.push_back({size - 15.0, far.y});
  SpacedLoop loop;
  loop.curve = smooth(resample(located, 1), 0.3 * w);
  loop.sigma_px = 0.08 * w, loop.band_px = loop.scale_px = w, loop.correlation_px = 4.5 * w, loop.rounding_px = 0.3 * w;
  PencilInk pencil;
  pencil.band_px = w, pencil.fade = {0, 0.15}, pencil.sample_variance = 2e-4;
  pencil.profile.half = 24, pencil.profile.step_px = w / 16;
  for (int k = -24; k <= 24; ++k)
    pencil.profile.ink.push_back(peak * std::exp(-0.5 * std::pow(k * pencil.profile.step_px / sd, 2)));
  const Plane<float> ink = support::band_along(drawn, size, sd, peak);
  const LoopIndex index({&loop.curve}, 1.5, w);
  const double arc = nearest_arc(loop.curve, tip, 0, loop.curve.length_px());
  const InkWindow window = ink_window(ink, index, {0, arc, 6 * w, 6 * w}, loop.curve.at(arc), w, 2.5 * w);
  return fit_wedge(loop, index, ink, pencil, {0, arc, 14 * w, 14 * w, {}}, window, 100);
}

std::vector<Point> straight_to(Point tip, double from_deg, double length_px) {
  const Point t{std::cos(radians(from_deg)), std::sin(radians(from_deg))};
  std::vector<Point> out;
  for (double u = length_px; u >= 0; u -= 1) out.push_back(tip + u * t);
  return out;
}

// A circle that leaves the tip in the given direction and bends to the left (negative: right).
std::vector<Point> round_to(Point tip, double from_deg, double length_px, double radius_px) {
  const Point t{std::cos(radians(from_deg)), std::sin(radians(from_deg))};
  std::vector<Point> out;
  for (double u = length_px; u >= 0; u -= 1) {
    const double a = u / radius_px;
    out.push_back(tip + radius_px * std::sin(a) * t + radius_px * (1 - std::cos(a)) * left_of(t));
  }
  return out;
}

TEST(FitWedge, FindsTipsThatLieBeyondTheLoop) {
  const Point tip{50.3, 200.6};
  for (const double between_deg : {35.0, 25.0, 16.0}) {
    const double cut = 0.5 * 0.8 * w / std::sin(radians(0.5 * between_deg));
    const CornerHypothesis r =
        fitted(straight_to(tip, -0.5 * between_deg, 300), straight_to(tip, 0.5 * between_deg, 300), cut);
    ASSERT_TRUE(r.valid) << between_deg;
    EXPECT_LT(distance(r.first, tip), 0.25 * w) << between_deg << " degrees, the loop ends " << cut << " px short";
    EXPECT_NEAR(std::abs(degrees(turn_between(r.into, r.out_of))), 180 - between_deg, 3);
  }
}

TEST(FitWedge, SidesMayBend) {
  const Point tip{50.3, 230.6};
  const CornerHypothesis r =
      fitted(straight_to(tip, -20, 300), round_to(tip, 0, 250, -400), 0.8 * w / (2 * std::sin(radians(10))));
  ASSERT_TRUE(r.valid);
  EXPECT_LT(distance(r.first, tip), 0.3 * w);
}

TEST(FitWedge, TheEndOfSomethingFlatIsNoTip) {
  // Sides two bands apart that run alike, joined by a third.
  std::vector<Point> above, below;
  for (double x = 350; x >= 60; x -= 1) above.push_back({x, 200 - w}), below.push_back({x, 200 + w});
  for (double y = 200 - w; y <= 200; y += 1) above.push_back({60, y}), below.push_back({60, 400 - y});
  EXPECT_FALSE(fitted(above, below, 0).valid);
}

TEST(FitWedge, ALineDrawnToAndFroIsNoTip) {
  EXPECT_FALSE(fitted(straight_to({50, 200}, -1, 300), straight_to({50, 200}, 1, 300), 60).valid);
}

}  // namespace
}  // namespace batten
