#include "corners/space_loops.h"

#include <gtest/gtest.h>

#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

Loops one_loop(double sigma_px, double band_px, double rounding_px) {
  Loop loop;
  loop.points = support::circle_points({100, 100}, 80, 1);
  loop.sigma_px = sigma_px, loop.band_px = band_px, loop.rounding_px = rounding_px;
  Loops loops;
  loops.loops.push_back(loop);
  return loops;
}

SpacedLoop spaced(const Loops& loops, std::optional<double> tolerance_px) {
  Options options;
  options.tolerance_px = tolerance_px;
  const Job job;
  Progress progress(job, Stage::corners, 0, 1);
  const auto out = space_loops(loops, options, progress);
  EXPECT_TRUE(out.ok());
  return out->loops.at(0);
}

TEST(SpaceLoops, TheLimitIsTheToleranceOrWhatTheLineCanTell) {
  EXPECT_DOUBLE_EQ(spaced(one_loop(0.1, 6, 1.8), 1.0).limit_px, 1);
  const SpacedLoop rough = spaced(one_loop(1, 12, 3.6), 1.0);
  EXPECT_DOUBLE_EQ(rough.limit_px, 2.6);
  EXPECT_DOUBLE_EQ(rough.tolerance_px, 1);
  EXPECT_DOUBLE_EQ(spaced(one_loop(1.3, 12, 3.6), std::nullopt).tolerance_px, 2.6 * 1.3) << "what the line can tell";
  EXPECT_DOUBLE_EQ(spaced(one_loop(0.05, 0, 0.4), std::nullopt).tolerance_px, 0.5) << "auto is never finer";
}

TEST(SpaceLoops, AToleranceThatIsToBeHeldIsTheLimitHoweverLittleIsKnown) {
  Options options;
  options.hold_tolerance = true;
  const Job job;
  Progress progress(job, Stage::corners, 0, 1);
  const SpacedLoop rough = space_loops(one_loop(1, 12, 3.6), options, progress)->loops.at(0);
  EXPECT_DOUBLE_EQ(rough.limit_px, 1);
  EXPECT_DOUBLE_EQ(rough.waver_px, 2.6);
  EXPECT_TRUE(rough.held_finer());
  EXPECT_FALSE(space_loops(one_loop(0.1, 6, 1.8), options, progress)->loops.at(0).held_finer());
  options.tolerance_px.reset();
  const SpacedLoop automatic = space_loops(one_loop(1, 12, 3.6), options, progress)->loops.at(0);
  EXPECT_DOUBLE_EQ(automatic.limit_px, 2.6) << "what the line can tell is never finer than that";
  EXPECT_FALSE(automatic.held_finer());
}

TEST(SpaceLoops, ExactLoopsAreSpacedMoreFinely) {
  const double band = spaced(one_loop(0.5, 12, 3.6), 1.0).curve.step_px,
               crisp = spaced(one_loop(0.05, 0, 0.4), 1.0).curve.step_px,
               polyline = spaced(one_loop(0, 0, 0.1), 1.0).curve.step_px;
  EXPECT_NEAR(band, 1, 0.01);
  EXPECT_NEAR(crisp, 0.5, 0.01);
  EXPECT_NEAR(polyline, 0.25, 0.01);
}

// Noise across the loop, one draw a point: the local quadratic takes 3 of the window's 17 degrees of freedom.
TEST(PolylineSigma, ReadsTheNoiseOfAPolyline) {
  support::Random r("PolylineSigma", "noise");
  for (const double sigma : {0.05, 0.3, 1.0}) {
    ArcLoop loop = resample(support::circle_points({0, 0}, 120, 0.5), 0.5);
    for (Point& p : loop.points) p = p + r.normal(sigma) * unit(p);
    EXPECT_NEAR(polyline_sigma(loop, 4), sigma * std::sqrt(14.0 / 17), 0.15 * sigma);
  }
}

TEST(PolylineSigma, AnExactCurveHasNone) {
  EXPECT_LT(polyline_sigma(resample(support::ellipse_points({0, 0}, 90, 40, 0.4, 0.1), 0.5), 4), 0.005);
  EXPECT_LT(polyline_sigma(resample(std::vector<Point>{{0, 0}, {100, 0}, {70, 80}}, 0.5), 4), 1e-9)
      << "corners are few";
}

TEST(SpaceLoops, OneQuestionTellsTheSortOfALoop) {
  Loops loops = one_loop(0.5, 12, 3.6);
  EXPECT_EQ(spaced(loops, 1.0).sort(), LoopSort::pencil_band);
  EXPECT_NEAR(tangent_window_px(spaced(loops, 1.0)), 3 + 0.7 * 12, 1e-12);
  loops.loops[0].kind = Kind::filled;
  EXPECT_EQ(spaced(loops, 1.0).sort(), LoopSort::soft_edge);
  loops.loops[0].band_px = 0;
  EXPECT_EQ(spaced(loops, 1.0).sort(), LoopSort::exact_edge);
  EXPECT_TRUE(spaced(loops, 1.0).exact());
  EXPECT_EQ(tangent_window_px(spaced(loops, 1.0)), 3);
}

TEST(SpaceLoops, StopsWhenAsked) {
  std::stop_source stop;
  stop.request_stop();
  Job job;
  job.stop = stop.get_token();
  Progress progress(job, Stage::corners, 0, 1);
  const auto out = space_loops(one_loop(0, 0, 0.1), {}, progress);
  ASSERT_FALSE(out.ok());
  EXPECT_EQ(out.error().code, ErrorCode::cancelled);
}

}  // namespace
}  // namespace batten
