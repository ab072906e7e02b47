#include "corners/band_ink.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "support/band_drawing.h"

namespace batten {
namespace {

constexpr double w = 12, sd = 3, peak = 0.6;
constexpr int size = 260;

std::vector<LinePlace> level_line(double y) {
  std::vector<LinePlace> out;
  for (double x = 60; x <= 200; x += 2) out.push_back({{x, y}, {1, 0}});
  return out;
}

TEST(NormalTable, AgreesWithTheErrorFunction) {
  const NormalTable phi;
  for (double x = -5; x <= 5; x += 0.013) EXPECT_NEAR(phi(x), 0.5 * std::erfc(-x / std::sqrt(2.0)), 1e-4);
}

TEST(HalfGaussian, BothSidesSumToOne) {
  const std::vector<float> weight = half_gaussian(2, 7);
  ASSERT_EQ(weight.size(), 8u);
  EXPECT_NEAR(2 * std::accumulate(weight.begin() + 1, weight.end(), 0.0) + weight[0], 1, 1e-6);
  EXPECT_NEAR(weight[2] / weight[0], std::exp(-0.5), 1e-6);
}

TEST(BandProfile, IsTheGaussianThatWasDrawnAndNothingBeyond) {
  const Plane<float> ink = support::band_along({{10, 130}, {250, 130}}, size, sd, peak);
  const BandProfile p = profile_across(ink, level_line(130), w);
  EXPECT_NEAR(p.peak(), peak, 0.02);
  for (double u = -17; u <= 17; u += 0.7) EXPECT_NEAR(p.at(u), peak * std::exp(-0.5 * u * u / (sd * sd)), 0.02) << u;
  EXPECT_EQ(p.at(1.51 * w), 0);
  EXPECT_EQ(p.at(-1.51 * w), 0);
  EXPECT_TRUE(profile_across(ink, {}, w).ink.empty());
}

TEST(BandProfile, LeftOfTheTravelIsPositive) {
  const Plane<float> ink = support::band_along({{10, 134}, {250, 134}}, size, sd, peak);
  const BandProfile p = profile_across(ink, level_line(130), w);
  EXPECT_GT(p.at(4), 4 * p.at(-4)) << "the band lies at left_of(travel), further down the page";
  const BandProfile s = symmetric(p);
  for (double u : {1.0, 4.0, 9.0}) EXPECT_NEAR(s.at(u), s.at(-u), 1e-9);
}

TEST(BandProfile, SymmetricTakesTheSmudgeOff) {
  Plane<float> ink = support::band_along({{10, 130}, {250, 130}}, size, sd, peak);
  for (float& k : ink.values) k += 0.1f;
  EXPECT_NEAR(symmetric(profile_across(ink, level_line(130), w)).peak(), peak, 0.02);
}

TEST(SideProfile, IsItsOwnWithinAWidthAndTheDrawingsBeyond) {
  PencilInk pencil;
  pencil.band_px = w;
  pencil.profile = profile_across(support::band_along({{10, 130}, {250, 130}}, size, sd, peak), level_line(130), w);
  const Plane<float> faint = support::band_along({{10, 130}, {250, 130}}, size, sd, 0.5 * peak);
  const BandProfile side = side_profile(faint, level_line(130), pencil);
  EXPECT_NEAR(side.at(0), (0.2 + 0.8 * 0.5) * peak, 0.02);
  EXPECT_DOUBLE_EQ(side.at(1.2 * w), pencil.profile.at(1.2 * w));
  EXPECT_DOUBLE_EQ(side_profile(faint, {}, pencil).at(0), pencil.profile.at(0)) << "too short to say anything";
}

TEST(PencilInk, HalfOfTheStrokesEndAtTheStartOfTheFade) {
  PencilInk pencil;
  pencil.band_px = w;
  EXPECT_NEAR(pencil.left_beyond(-0.1 * w, {-0.1, 0.4}), 0.5, 1e-4);
  EXPECT_NEAR(pencil.left_beyond(0.3 * w, {-0.1, 0.4}), 0.5 * std::erfc(1 / std::sqrt(2.0)), 1e-4);
}

TEST(InkWindow, LeavesOutWhatLiesNearerToAnotherLoop) {
  const ArcLoop mine = resample(std::vector<Point>{{10, 100}, {250, 100}, {250, 20}, {10, 20}}, 1),
                other = resample(std::vector<Point>{{10, 120}, {250, 120}, {250, 240}, {10, 240}}, 1);
  const LoopIndex index({&mine, &other}, 1.5, w);
  const Plane<float> ink = support::band_along({{10, 100}, {250, 100}}, size, sd, peak);
  const Point centre{130, 100};
  const double arc = nearest_arc(mine, centre, 0, mine.length_px());
  const InkWindow own = ink_window(ink, index, {0, arc, 6 * w, 6 * w}, centre, w, 2.5 * w);
  ASSERT_GT(own.samples.size(), too_few_samples);
  double lowest = 0;
  for (const InkWindow::Sample& s : own.samples) {
    EXPECT_LE(distance(s.at, centre), 2.5 * w + 1e-9);
    lowest = std::max(lowest, s.at.y);
    EXPECT_NEAR(s.ink, peak * std::exp(-0.5 * std::pow((s.at.y - 100) / sd, 2)), 0.06) << s.at.y;
  }
  EXPECT_NEAR(lowest, 110, 1.2) << "half way to the other loop";
  // Points that count as this stretch bring the places beside them back.
  const InkWindow more = ink_window(ink, index, {0, arc, 6 * w, 6 * w}, centre, w, 2.5 * w, {{130, 118}});
  EXPECT_GT(more.samples.size(), own.samples.size());
}

}  // namespace
}  // namespace batten
