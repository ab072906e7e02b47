// fit_lines() against open curves with a known answer. No pixels: polylines sampled from exact curves.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>

#include "base/vec.h"
#include "batten/convert.h"
#include "batten/measure.h"
#include "support/shapes.h"

namespace batten {
namespace {

using Polylines = std::vector<std::vector<Point>>;

std::vector<Point> sampled(const std::function<Point(double)>& at, double from, double to, int count) {
  std::vector<Point> out;
  for (int i = 0; i <= count; ++i) out.push_back(at(from + (to - from) * i / count));
  return out;
}

Conversion fitted(const Polylines& open, double tolerance_px, const Polylines& closed = {},
                  Options::Extremes extremes = Options::Extremes::required) {
  Options options;
  options.tolerance_px = tolerance_px;
  options.extremes = extremes;
  auto result = fit_lines(closed, open, options);
  EXPECT_TRUE(result.ok()) << (result.ok() ? "" : result.error().message);
  return result ? std::move(*result) : Conversion{};
}

// What every line keeps: it is open, begins and ends where its polyline does, and lies within the tolerance.
void expect_follows(const Conversion& c, std::size_t which, const std::vector<Point>& line, double tolerance_px) {
  const Outline& o = c.drawing.outlines.at(which);
  EXPECT_FALSE(o.closed);
  EXPECT_EQ(o.kind, Kind::line);
  EXPECT_EQ(o.parent, -1);
  EXPECT_EQ(o.nodes.front().reason, Reason::line_end);
  EXPECT_EQ(o.nodes.back().reason, Reason::line_end);
  EXPECT_EQ(o.nodes.front().handle_before, o.nodes.front().at);
  EXPECT_EQ(o.nodes.back().handle_after, o.nodes.back().at);
  EXPECT_LT(distance(o.nodes.front().at, line.front()), 0.01);
  EXPECT_LT(distance(o.nodes.back().at, line.back()), 0.01);
  EXPECT_LE(measure(o, line, 0.1).max_px, 1.01 * tolerance_px);
}

TEST(FitLines, TwoPointsAreOneStraight) {
  for (const double turn : {0.0, 0.4, 1.5707963, 2.9}) {
    const std::vector<Point> line{{200, 200}, Point{200, 200} + 90 * direction(turn)};
    const Conversion c = fitted({line}, 1);
    expect_follows(c, 0, line, 0.01);
    EXPECT_EQ(c.report.segments, 1u);
    EXPECT_TRUE(c.drawing.outlines[0].is_straight(0));
    EXPECT_NEAR(c.report.outlines[0].loop_length_px, 90, 1e-6);
  }
}

TEST(FitLines, CornersOfAPolygonalLineAreItsOnlyNodes) {
  const std::vector<Point> line{{10, 10}, {60, 90}, {110, 10}, {160, 90}, {210, 10}, {260, 90.5}};
  const Conversion c = fitted({line}, 0.5);
  expect_follows(c, 0, line, 0.05);
  ASSERT_EQ(c.drawing.outlines[0].nodes.size(), line.size());
  for (std::size_t i = 0; i < line.size(); ++i) {
    EXPECT_LT(distance(c.drawing.outlines[0].nodes[i].at, line[i]), 0.1);
    if (i > 0 && i + 1 < line.size()) {
      EXPECT_EQ(c.drawing.outlines[0].nodes[i].reason, Reason::corner);
    }
  }
}

// x = 3 t turns back 6 times, y = 2 t 4 times in one period of the figure of Lissajous: 10 extremes, 11 segments. It
// crosses itself 7 times (2 a b - a - b for frequencies a and b), which is no fault.
TEST(FitLines, LissajousHasANodeForEachExtreme) {
  constexpr double period = 2 * std::numbers::pi;
  const auto at = [](double t) { return Point{200 + 150 * std::sin(3 * t + 0.4), 200 + 150 * std::sin(2 * t)}; };
  for (const double to : {period - 0.05, period}) {  // the second ends where it began
    const std::vector<Point> line = sampled(at, 0, to, 4000);
    const Conversion c = fitted({line}, 1);
    expect_follows(c, 0, line, 1);
    EXPECT_EQ(c.report.segments, 11u);
    EXPECT_TRUE(crosses_itself(c.drawing.outlines[0]));
    for (const Finding& f : c.report.findings) EXPECT_NE(f.what, Finding::What::crossing_outline) << f.text;
  }
}

// r = a t turns its direction by t + atan(t): an extreme whenever that passes a quarter turn. From t = 1 (1.785) to
// 6 pi (20.367) it passes 2 to 12 quarter turns: 11 extremes, 12 segments.
TEST(FitLines, SpiralOfArchimedes) {
  const auto at = [](double t) { return Point{200, 200} + (8 * t) * direction(t); };
  const std::vector<Point> line = sampled(at, 1, 6 * std::numbers::pi, 3000);
  const Conversion c = fitted({line}, 1);
  expect_follows(c, 0, line, 1);
  EXPECT_EQ(c.report.segments, 12u);
  EXPECT_EQ(c.report.least.proven, 12u);
  const Conversion free = fitted({line}, 1, {}, Options::Extremes::free);
  expect_follows(free, 0, line, 1);
  EXPECT_LE(free.report.segments, 7u);
}

// A quarter of a circle is one cubic within 0.00027 R (Dokken et al., CAGD 7, 1990, for equioscillation 0.0002 R), a
// half has an extreme and two.
TEST(FitLines, ArcsOfACircle) {
  const auto at = [](double t) { return Point{100, 100} + 80.0 * direction(t); };
  const double quarter = std::numbers::pi / 2;
  for (const int quarters : {1, 2, 3}) {
    const std::vector<Point> line = sampled(at, 0, quarters * quarter, 300 * quarters);
    const Conversion c = fitted({line}, 0.1);
    expect_follows(c, 0, line, 0.1);
    EXPECT_EQ(c.report.segments, std::size_t(quarters));
  }
}

TEST(FitLines, StraightRunsSmoothlyIntoACurve) {
  const auto at = [](double t) {
    return t < 0 ? Point{100, 100 + 100 * t} : Point{80 + 20 * std::cos(2 * t), 100 + 20 * std::sin(2 * t)};
  };
  const std::vector<Point> hook = sampled(at, -1, 1.4, 600);
  const Conversion c = fitted({hook}, 0.5);
  expect_follows(c, 0, hook, 0.5);
  ASSERT_EQ(c.report.segments, 3u);
  EXPECT_TRUE(c.drawing.outlines[0].is_straight(0));
  EXPECT_EQ(c.drawing.outlines[0].nodes[1].reason, Reason::straight_end);
  EXPECT_EQ(c.drawing.outlines[0].nodes[2].reason, Reason::extreme_bottom);
}

TEST(FitLines, ALineOfTwoPixelsIsOneStraight) {
  const Conversion tiny = fitted({{{10, 10}, {12, 11}}}, 1);
  EXPECT_EQ(tiny.report.segments, 1u);
}

TEST(FitLines, ClosedOutlinesComeFirstAndAreTheSameAsAlone) {
  const std::vector<Point> circle = support::circle_points({150, 150}, 60, 0.5);
  const Polylines open{{{10, 10}, {200, 30}}, {{30, 300}, {250, 310}}};
  const Conversion both = fitted(open, 1, {circle}), alone = fitted({}, 1, {circle});
  ASSERT_EQ(both.drawing.outlines.size(), 3u);
  EXPECT_TRUE(both.drawing.outlines[0].closed);
  EXPECT_FALSE(both.drawing.outlines[1].closed);
  EXPECT_NEAR(both.drawing.outlines[2].nodes.front().at.y, 300, 1e-9);
  ASSERT_EQ(alone.drawing.outlines[0].nodes.size(), both.drawing.outlines[0].nodes.size());
  for (std::size_t i = 0; i < alone.drawing.outlines[0].nodes.size(); ++i)
    EXPECT_EQ(alone.drawing.outlines[0].nodes[i].at, both.drawing.outlines[0].nodes[i].at);
}

TEST(FitLines, RefusesWhatIsNoLine) {
  for (const std::vector<Point>& line : Polylines{{}, {{1, 1}}, {{1, 1}, {1.5, 1}}, {{1, 1}, {1, NAN}}}) {
    const auto result = fit_lines({}, Polylines{line});
    ASSERT_FALSE(result.ok());
    EXPECT_EQ(result.error().code, ErrorCode::bad_polyline);
  }
}

}  // namespace
}  // namespace batten
