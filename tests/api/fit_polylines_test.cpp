// fit() and where its polylines lie: anywhere, far apart, given in any form; and what is said of odd ones.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "batten/convert.h"
#include "batten/measure.h"
#include "batten/write.h"
#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

using Polylines = std::vector<std::vector<Point>>;

Conversion fitted(const Polylines& loops, const Options& options = {}) {
  auto result = fit(loops, options);
  EXPECT_TRUE(result.ok()) << (result.ok() ? "" : result.error().message);
  return result ? std::move(*result) : Conversion{};
}

std::vector<Point> moved(std::vector<Point> points, Point by) {
  for (Point& p : points) p = p + by;
  return points;
}

// A blob without symmetry, on multiples of 1/64 px, which stay exact wherever it is moved by whole px.
std::vector<Point> blob() {
  std::vector<Point> out;
  for (int i = 0; i < 700; ++i) {
    const double t = 2 * 3.14159265358979323846 * i / 700, r = 90 + 20 * std::sin(2 * t) + 9 * std::cos(3 * t + 1);
    out.push_back({std::round(64 * (120 + r * std::cos(t))) / 64, std::round(64 * (120 + 0.7 * r * std::sin(t))) / 64});
  }
  return out;
}

std::size_t count(const Conversion& c, Finding::What what) {
  return std::size_t(std::count_if(c.report.findings.begin(), c.report.findings.end(),
                                   [&](const Finding& f) { return f.what == what; }));
}

TEST(FitPolylines, PolygonsOfTheirCornersAlone) {
  const Conversion square = fitted({{{0, 0}, {100, 0}, {100, 80}, {0, 80}}});
  ASSERT_EQ(square.drawing.outlines.at(0).nodes.size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_TRUE(square.drawing.outlines[0].is_straight(i));
    EXPECT_EQ(square.drawing.outlines[0].nodes[i].reason, Reason::corner);
  }
  EXPECT_NEAR(signed_area_px2(square.drawing.outlines[0]), 8000, 1e-6);
  const Conversion triangle = fitted({{{10, 10}, {110, 30}, {40, 95}}});
  EXPECT_EQ(triangle.report.segments, 3u);
  EXPECT_LT(triangle.report.max_px, 0.01);
  EXPECT_TRUE(square.report.findings.empty() && triangle.report.findings.empty());
}

TEST(FitPolylines, TheSheetFollowsThePlaces) {
  const Conversion left = fitted({moved(support::circle_points({0, 0}, 50, 0.5), {-200, 30})});
  EXPECT_EQ(left.drawing.origin, (Point{-250, -20}));
  EXPECT_EQ(left.drawing.width_px, 100);
  EXPECT_EQ(left.drawing.height_px, 100);
  EXPECT_NE(to_svg(left.drawing).find("width=\"100\" height=\"100\" viewBox=\"-250 -20 100 100\""), std::string::npos);
  const Conversion right = fitted({support::circle_points({300, 100}, 50, 0.5)});
  EXPECT_EQ(right.drawing.origin, (Point{0, 0}));
  EXPECT_EQ(right.drawing.width_px, 350);
  EXPECT_NE(to_svg(right.drawing).find("viewBox=\"0 0 350 150\""), std::string::npos);
}

TEST(FitPolylines, TheSameShapeHasTheSameOutlineWhereverItLies) {
  const Conversion here = fitted({moved(blob(), {1e6, 2e6})});
  for (const Point by : {Point{-7e6, 3e6}, Point{-9e8, -9e8}, Point{1e8, -70000}}) {
    const Conversion there = fitted({moved(blob(), by)});
    ASSERT_EQ(there.drawing.outlines.at(0).nodes.size(), here.drawing.outlines.at(0).nodes.size());
    for (std::size_t i = 0; i < here.drawing.outlines[0].nodes.size(); ++i) {
      const Node &a = here.drawing.outlines[0].nodes[i], &b = there.drawing.outlines[0].nodes[i];
      // A double has steps of 1e-7 px at 1e9.
      EXPECT_NEAR(a.at.x - 1e6, b.at.x - by.x, 3e-7);
      EXPECT_NEAR(a.handle_after.y - 2e6, b.handle_after.y - by.y, 3e-7);
    }
    EXPECT_LT(measure(there.drawing.outlines[0], moved(blob(), by)).max_px, 1.0);
    EXPECT_NEAR(there.report.outlines[0].max_px, here.report.outlines[0].max_px, 1e-9);
  }
}

TEST(FitPolylines, AGridHoldsFarOff) {
  Options options;
  options.grid_px = 5;
  const Conversion far = fitted({moved(blob(), {3e6 + 2, -4e6 - 1})}, options);
  for (const Node& n : far.drawing.outlines.at(0).nodes)
    for (const Point p : {n.handle_before, n.at, n.handle_after}) {
      EXPECT_EQ(std::fmod(p.x, 5), 0);
      EXPECT_EQ(std::fmod(p.y, 5), 0);
    }
}

TEST(FitPolylines, EveryFormGivesTheSame) {
  const Polylines loops{support::circle_points({150, 150}, 60, 0.5), support::circle_points({150, 150}, 30, 0.5)};
  const std::string expected = to_svg(fitted(loops).drawing);
  const std::vector<std::span<const Point>> spans(loops.begin(), loops.end());
  EXPECT_EQ(to_svg(fit_spans(spans)->drawing), expected);
  std::vector<Point> flat = loops[0];
  flat.insert(flat.end(), loops[1].begin(), loops[1].end());
  std::vector<std::size_t> lengths{loops[0].size(), loops[1].size()};
  EXPECT_EQ(to_svg(fit(flat, lengths)->drawing), expected);
  // Closed and open in any order: closed ones come first.
  const std::vector<Point> line{{10, 10}, {280, 40}};
  const std::vector<PolylineView> views{{line, false}, {loops[0]}, {loops[1]}};
  EXPECT_EQ(to_svg(fit(views)->drawing), to_svg(fit_lines(loops, Polylines{line})->drawing));
  lengths[1] += 1;
  EXPECT_EQ(fit(flat, lengths).error().code, ErrorCode::bad_polyline);
  lengths[1] -= 2;
  EXPECT_EQ(fit(flat, lengths).error().code, ErrorCode::bad_polyline);
}

TEST(FitPolylines, ALineTakenForAnOutlineIsNamed) {
  std::vector<Point> line;
  for (int i = 0; i <= 300; ++i) line.push_back({20 + 0.7 * i, 100 - 60 * std::sin(0.01 * i)});
  const Conversion closed = fitted({support::circle_points({400, 100}, 50, 0.5), line});
  ASSERT_EQ(count(closed, Finding::What::closed_by_straight), 1u);
  const Finding& f = closed.report.findings[0];
  EXPECT_EQ(f.outline, 1);
  EXPECT_NEAR(f.amount_px, std::hypot(210, 60 * std::sin(3.0)), 1e-9);
  EXPECT_EQ(level_of(f.what), Level::info);
  const auto open = fit_lines({}, Polylines{line});
  ASSERT_TRUE(open);
  EXPECT_EQ(count(*open, Finding::What::closed_by_straight), 0u);
  // A few points that are missing at the seam are no sign of a line.
  std::vector<Point> gap = support::circle_points({100, 100}, 60, 0.5);
  gap.resize(gap.size() - 6);
  EXPECT_EQ(count(fitted({gap}), Finding::What::closed_by_straight), 0u);
}

TEST(FitPolylines, EachHasItsOutlineSliversToo) {
  const Polylines two{support::points_of(support::polygon({{0, 0}, {200, 0}, {200, 0.4}, {0, 0.4}}), 0.5),
                      support::circle_points({100, 100}, 40, 0.5)};
  const Conversion made = fitted(two);
  ASSERT_EQ(made.drawing.outlines.size(), 2u);
  EXPECT_LT(std::abs(signed_area_px2(made.drawing.outlines[0])), 300);
  EXPECT_EQ(count(made, Finding::What::left_out), 0u);
}

TEST(FitPolylines, CrossedInputIsCalledThat) {
  const Conversion eight = fitted({support::points_of(support::polygon({{0, 0}, {100, 80}, {100, 0}, {0, 80}}), 0.5)});
  ASSERT_EQ(count(eight, Finding::What::crossing_outline), 1u);
  for (const Finding& f : eight.report.findings) {
    if (f.what != Finding::What::crossing_outline) continue;
    EXPECT_NE(f.text.find("because the loop that it follows does"), std::string::npos) << f.text;
    EXPECT_NEAR(f.place.x, 50, 0.01);
    EXPECT_NEAR(f.place.y, 40, 0.01);
  }
}

TEST(FitPolylines, ThePlaceInASentenceIsTheCallersOwn) {
  // A circle with noise of 1 px cannot be held to a tenth of that.
  support::Random random("FitPolylines", "Sentence");
  std::vector<Point> hairy = support::circle_points({2e6, 2e6}, 80, 0.8);
  for (Point& p : hairy) p = p + Point{random.normal(1), random.normal(1)};
  Options options;
  options.tolerance_px = 0.1;
  const Conversion far = fitted({hairy}, options);
  ASSERT_EQ(count(far, Finding::What::tolerance_exceeded), 1u);
  for (const Finding& f : far.report.findings) {
    if (f.what != Finding::What::tolerance_exceeded) continue;
    const std::string place = "(" + decimal(f.place.x, 1) + ", " + decimal(f.place.y, 1) + ")";
    EXPECT_NE(f.text.find(place), std::string::npos) << f.text;
    EXPECT_NEAR(std::hypot(f.place.x - 2e6, f.place.y - 2e6), 80, 10);
  }
}

TEST(FitPolylines, WhatReachesTooFarIsRefused) {
  const Polylines apart{support::circle_points({0, 0}, 50, 0.5), support::circle_points({2e7, 0}, 50, 0.5)};
  EXPECT_EQ(fit(apart).error().code, ErrorCode::bad_polyline);
  const Polylines away{moved(support::circle_points({0, 0}, 50, 0.5), {2e9, 0})};
  EXPECT_EQ(fit(away).error().code, ErrorCode::bad_polyline);
}

}  // namespace
}  // namespace batten
