#include "batten/sweep.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "api/keep_finer.h"
#include "batten/write.h"
#include "support/pencil.h"
#include "support/pencil_sheet.h"
#include "support/shapes.h"

namespace batten {
namespace {

using namespace batten::testing;

// Two power laws that meet: straights of slope -3 and -0.5 on logarithmic axes, with the knee where they do.
TEST(Knee, IsWhereTwoPowerLawsMeet) {
  std::vector<Point> points;
  for (const double n : {10, 14, 20, 28, 40}) points.push_back({n, std::pow(n / 40, -3)});
  for (const double n : {56, 80, 112, 160}) points.push_back({n, std::pow(n / 40, -0.5)});
  EXPECT_EQ(knee_of(points), 4u);
  std::reverse(points.begin(), points.end());
  EXPECT_EQ(knee_of(points), 4u);
}

TEST(Knee, AStraightAndABulgeAwayFromTheOriginHaveNone) {
  EXPECT_EQ(knee_of(std::vector<Point>{{10, 4}, {20, 2}, {40, 1}}), std::nullopt);
  EXPECT_EQ(knee_of(std::vector<Point>{{10, 4}, {30, 3}, {40, 1}}), std::nullopt);
  EXPECT_EQ(knee_of(std::vector<Point>{{10, 4}, {40, 1}}), std::nullopt);
  EXPECT_EQ(knee_of(std::vector<Point>{{10, 1}, {10, 1}, {10, 1}}), std::nullopt);
}

TEST(Knee, APointThatAnotherBeatsInBothIsLeftAside) {
  // (12, 5) costs more and errs more than (10, 4); taken for a point of the curve it would move the chord's end.
  EXPECT_EQ(knee_of(std::vector<Point>{{40, 0.9}, {20, 1}, {10, 4}, {12, 5}}), 1u);
}

TEST(Tolerances, AreAConstantFactorApart) {
  const std::vector<double> t = spread_tolerances(0.5, 4, 4);
  ASSERT_EQ(t.size(), 4u);
  EXPECT_EQ(t.front(), 0.5);
  EXPECT_EQ(t.back(), 4);
  EXPECT_NEAR(t[1], 1, 1e-12);
  EXPECT_NEAR(t[2], 2, 1e-12);
  EXPECT_EQ(spread_tolerances(0.5, 4, 1), std::vector<double>{0.5});
}

TEST(SweepTest, EachDrawingIsWhatConvertMakesAndSegmentsNeverRise) {
  const auto picture = box_and_ring();
  const Result<Located> located = locate(picture.view());
  ASSERT_TRUE(located.ok());
  const Result<Sweep> swept = sweep(*located, std::vector<double>{3, 0.7, 1.5});
  ASSERT_TRUE(swept.ok());
  ASSERT_EQ(swept->conversions.size(), 3u);
  EXPECT_EQ(swept->seconds.size(), 3u);
  for (std::size_t i = 0; i < 3; ++i) {
    const double tolerance_px = std::vector<double>{0.7, 1.5, 3}[i];
    EXPECT_EQ(swept->conversions[i].report.tolerance_px, tolerance_px);
    EXPECT_EQ(to_svg(swept->conversions[i].drawing),
              to_svg(convert(*located, {.tolerance_px = tolerance_px})->drawing));
    const std::size_t before = i > 0 ? i - 1 : 0;
    EXPECT_LE(swept->conversions[i].report.segments, swept->conversions[before].report.segments);
  }
  EXPECT_LT(swept->recommended, 3u);
}

// A diamond of many loose strokes, whose band wanders: `auto` takes more than half a pixel.
TEST(SweepTest, RecommendsNothingFinerThanAutoChoosesAndNothingThatWarns) {
  const support::GrayImage image =
      support::pencil_drawing(360, 360, {support::polygon({{180, 40}, {320, 180}, {180, 320}, {40, 180}})},
                              support::Hand::multistroke, false, support::Random("SweepTest", "auto"));
  const auto located = locate(ImageView{image.pixels.data(), image.width, image.height, image.width});
  ASSERT_TRUE(located.ok());
  const auto chosen = convert(*located, {.tolerance_px = std::nullopt});
  ASSERT_TRUE(chosen.ok());
  const double auto_px = chosen->report.tolerance_px;
  ASSERT_GT(auto_px, 0.6);
  const auto swept = sweep(*located, std::vector<double>{0.5 * auto_px, 0.9 * auto_px, 1.01 * auto_px, 2 * auto_px});
  ASSERT_TRUE(swept.ok());
  EXPECT_EQ(swept->recommended, std::max<std::size_t>(2, swept->knee.value_or(0)));
  const auto raised = [&](std::size_t i) {
    const Report& report = swept->conversions[i].report;
    return report.outlines[0].limit_px > report.tolerance_px;
  };
  EXPECT_FALSE(raised(swept->recommended));
  EXPECT_TRUE(raised(1));
  for (const Finding& f : swept->conversions[swept->recommended].report.findings)
    EXPECT_NE(f.what, Finding::What::tolerance_below_uncertainty) << f.text;
}

// The same diamond with tolerances held that are finer than its line is known: a trade-off all the way.
TEST(SweepTest, HeldTolerancesBuyNodesBelowWhatTheLineCanTell) {
  const support::GrayImage image =
      support::pencil_drawing(360, 360, {support::polygon({{180, 40}, {320, 180}, {180, 320}, {40, 180}})},
                              support::Hand::multistroke, false, support::Random("SweepTest", "auto"));
  const auto located = locate(ImageView{image.pixels.data(), image.width, image.height, image.width});
  ASSERT_TRUE(located.ok());
  Options options;
  const std::vector<double> tolerances{0.4, 0.6, 1, 2, 4};
  const auto raised = sweep(*located, tolerances, options);
  options.hold_tolerance = true;
  const auto held = sweep(*located, tolerances, options);
  ASSERT_TRUE(raised.ok() && held.ok());
  const auto segments = [](const Sweep& s, std::size_t i) { return s.conversions[i].report.segments; };
  EXPECT_GT(segments(*held, 0), segments(*held, 4));
  EXPECT_GT(segments(*held, 0), segments(*raised, 0));
  EXPECT_LT(held->conversions[0].report.p95_px, raised->conversions[0].report.p95_px);
  const double known_px = held->conversions[0].report.known_px;
  ASSERT_GT(known_px, 0.6);
  const std::size_t finer = finer_than_known(*held);
  EXPECT_EQ(finer,
            std::size_t(std::count_if(tolerances.begin(), tolerances.end(), [&](double px) { return px < known_px; })));
  EXPECT_GE(held->recommended, finer);
  EXPECT_EQ(finer_than_known(*raised), finer) << "what is known does not depend on what is held";
  for (std::size_t i = 0; i < tolerances.size(); ++i) {
    const Report& report = held->conversions[i].report;
    EXPECT_EQ(report.tolerance_px, tolerances[i]);
    EXPECT_EQ(report.outlines[0].limit_px, tolerances[i]);
    const bool told = std::any_of(report.findings.begin(), report.findings.end(), [](const Finding& f) {
      return f.what == Finding::What::tolerance_below_uncertainty;
    });
    EXPECT_TRUE(!told || i < finer);
    EXPECT_TRUE(told || i > 0) << "of a line known to " << known_px / 2.6 << " px a stretch lies off by 0.4 px";
  }
}

TEST(SweepTest, AWiderToleranceThatNeedsMoreSegmentsKeepsTheFinerOnesDrawing) {
  const auto made = [](std::size_t segments, double x) {
    Conversion c;
    c.drawing.outlines = {support::circle({x, 0}, 10, 4, support::standard_handle(4))};
    c.report.segments = segments, c.report.least.proven = 3, c.report.max_px = 0.4;
    OutlineReport o;
    o.max_px = 0.4, o.limit_px = 0.3;
    c.report.outlines = {o};
    c.report.findings = {{Finding::What::tolerance_exceeded, 0, {}, 0.4, "0.40 px off; the tolerance is 0.30 px"}};
    return c;
  };
  Sweep sweep;
  take_in(0.3, made(12, 1), 0.1, &sweep);
  take_in(0.5, made(13, 2), 0.2, &sweep);
  take_in(1, made(14, 3), 0.3, &sweep);
  take_in(2, made(11, 4), 0.4, &sweep);
  EXPECT_EQ(sweep.drawn_at, (std::vector<std::size_t>{0, 0, 0, 3}));
  EXPECT_EQ(sweep.seconds, (std::vector<double>{0.1, 0.2, 0.3, 0.4})) << "what it took, whatever came of it";
  const Conversion& kept = sweep.conversions[2];
  EXPECT_EQ(to_svg(kept.drawing), to_svg(sweep.conversions[0].drawing));
  EXPECT_EQ(kept.report.segments, 12u);
  EXPECT_EQ(kept.report.tolerance_px, 1);
  EXPECT_EQ(kept.report.outlines[0].limit_px, 1);
  EXPECT_TRUE(kept.report.findings.empty()) << "0.4 px are within 1 px";
  EXPECT_EQ(kept.report.least.proven, 0u) << "a bound for a finer tolerance says nothing";
  EXPECT_EQ(sweep.conversions[0].report.findings.size(), 1u);
  EXPECT_EQ(sweep.conversions[3].report.segments, 11u);
}

TEST(SweepTest, NothingFinerThanHalfAPixelIsRecommended) {
  const auto picture = box_and_ring();
  const Result<Located> located = locate(picture.view());
  const Result<Sweep> swept = sweep(*located, std::vector<double>{0.1, 0.2, 0.6});
  ASSERT_TRUE(swept.ok());
  EXPECT_EQ(swept->recommended, 2u);
}

TEST(SweepTest, RefusesNoToleranceAndOneOutOfRangeAndStopsWhenAsked) {
  const auto picture = box_and_ring();
  const Result<Located> located = locate(picture.view());
  EXPECT_EQ(sweep(*located, {}).error().code, ErrorCode::bad_option);
  EXPECT_EQ(sweep(*located, std::vector<double>{1, -1}).error().code, ErrorCode::bad_option);
  std::stop_source stop;
  stop.request_stop();
  EXPECT_EQ(sweep(*located, std::vector<double>{1, 2}, {}, {.stop = stop.get_token()}).error().code,
            ErrorCode::cancelled);
}

TEST(SweepTest, ItsProgressNeverFalls) {
  const auto picture = box_and_ring();
  const Result<Located> located = locate(picture.view());
  double last = 0;
  Job job;
  job.progress = [&](Stage, double fraction) {
    EXPECT_GE(fraction, last);
    last = fraction;
  };
  ASSERT_TRUE(sweep(*located, std::vector<double>{1, 2}, {}, job).ok());
  EXPECT_EQ(last, 1);
}

}  // namespace
}  // namespace batten
