// One yes or no for a drawing and for each outline, against distances taken here.

#include <gtest/gtest.h>

#include <cmath>

#include "batten/convert.h"
#include "batten/refit.h"
#include "batten/sweep.h"
#include "support/pencil_sheet.h"
#include "support/shapes.h"

namespace batten {
namespace {

using namespace batten::testing;

std::vector<Point> circle(double r, double wave_px = 0) {
  std::vector<Point> out;
  for (int i = 0; i < 2000; ++i) {
    const double a = 2 * 3.14159265358979323846 * i / 2000, q = r + wave_px * std::cos(60 * a);
    out.push_back({200 + q * std::cos(a), 200 + q * std::sin(a)});
  }
  return out;
}

TEST(WithinTolerance, YesWhereTheMeasureSaysSo) {
  const auto made = fit({{circle(100)}}, {.tolerance_px = 0.5});
  ASSERT_TRUE(made.ok());
  for (const Node& n : made->drawing.outlines[0].nodes) EXPECT_NEAR(std::hypot(n.at.x - 200, n.at.y - 200), 100, 0.5);
  EXPECT_TRUE(made->report.within_tolerance);
  EXPECT_TRUE(made->report.outlines[0].within_tolerance);
  EXPECT_EQ(made->report.outlines[0].tolerance_px, 0.5);
}

TEST(WithinTolerance, NoWhereALineIsKnownLessNearlyAndTheToleranceWasRaised) {
  // A pencil line that wavers by 2 px, and is said to be known by 1.5 px only: it is not followed to 0.5 px.
  const std::vector<Point> wavy = circle(100, 2);
  const PolylineView line{.points = wavy, .sigma_px = 1.5, .correlation_px = 10, .band_px = 6};
  const auto made = fit({&line, 1}, {.tolerance_px = 0.5});
  ASSERT_TRUE(made.ok());
  const OutlineReport& r = made->report.outlines[0];
  EXPECT_GT(r.limit_px, 3.8);
  EXPECT_GT(r.max_px, 0.5);
  EXPECT_FALSE(r.within_tolerance);
  EXPECT_FALSE(made->report.within_tolerance);
}

TEST(WithinTolerance, AJudgedOutlineIsAnswered) {
  PencilSheet sheet(400, 400);
  sheet.ring({200, 200}, 100, 6, 0.8);
  const auto located = locate(sheet.scan(7).view());
  ASSERT_TRUE(located.ok());
  for (const double radius : {100.0, 100.6, 104.0}) {
    Drawing drawing;
    drawing.outlines.push_back(support::circle({200, 200}, radius, 4, support::standard_handle(4)));
    const auto judged = judge(*located, drawing, {.tolerance_px = 1});
    ASSERT_TRUE(judged.ok());
    EXPECT_EQ(judged->report.within_tolerance, radius < 101) << radius << ": " << judged->report.max_px;
    // A second one that lies on nothing spoils the drawing, not the first.
    drawing.outlines.push_back(support::circle({60, 60}, 20, 4, support::standard_handle(4)));
    const auto two = judge(*located, drawing, {.tolerance_px = 1});
    ASSERT_TRUE(two.ok());
    EXPECT_FALSE(two->report.within_tolerance);
    EXPECT_EQ(two->report.outlines[0].within_tolerance, radius < 101);
    EXPECT_FALSE(two->report.outlines[1].within_tolerance);
  }
  // What was drawn and has no outline is not within any tolerance of the drawing.
  Drawing none;
  const auto missing = judge(*located, none, {.tolerance_px = 1});
  ASSERT_TRUE(missing.ok());
  EXPECT_FALSE(missing->report.within_tolerance);
}

TEST(WithinTolerance, ItAgreesWithTheFindingsOverManyDrawings) {
  int yes = 0, no = 0;
  for (const double tolerance_px : {0.05, 0.3, 1.0, 3.0}) {
    const auto made = convert(box_and_ring().view(), {.tolerance_px = tolerance_px});
    ASSERT_TRUE(made.ok());
    bool all = true;
    for (std::size_t i = 0; i < made->report.outlines.size(); ++i) {
      const OutlineReport& r = made->report.outlines[i];
      const bool told = std::any_of(made->report.findings.begin(), made->report.findings.end(), [&](const Finding& f) {
        return f.what == Finding::What::tolerance_exceeded && f.outline == int(i);
      });
      EXPECT_FALSE(told && r.within_tolerance);
      EXPECT_EQ(r.within_tolerance, r.max_px <= r.tolerance_px && r.strayed_px <= std::max(r.limit_px, 2.0));
      all = all && r.within_tolerance;
      ++(r.within_tolerance ? yes : no);
    }
    EXPECT_EQ(made->report.within_tolerance, all);
  }
  EXPECT_GT(yes, 0);
  EXPECT_GT(no, 0) << "0.05 px is finer than any pencil";
}

TEST(WithinTolerance, RefitsAreAnswered) {
  Outline polygon = support::circle({100, 100}, 80, 16, support::standard_handle(16));
  const auto made = refit({&polygon, 1}, {.tolerance_px = 0.5});
  ASSERT_TRUE(made.ok());
  EXPECT_LT(made->outlines[0].segments_after, 16u);
  EXPECT_TRUE(made->conversion.report.within_tolerance);
}

}  // namespace
}  // namespace batten
