// Hatching inside an outlined shape goes, the outline stays where it was, and nothing else is touched.

#include "ink/remove_hatching.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::mean;
using testing::PencilSheet;

struct Outcome {
  Ink before, after;
  std::vector<Finding> findings;
};

Outcome run(const PencilSheet& sheet, unsigned seed) {
  const Job job;
  Progress progress(job, Stage::ink, 0, 1);
  const PencilSheet::Scanned scanned = sheet.with_grain(seed).scan(seed);
  Outcome out;
  const auto scan = load_scan(scanned.view(), progress);
  const auto ink = separate_ink(*scan, progress);
  out.before = *ink;
  auto cleared = remove_hatching(*ink, progress, 2, &out.findings);
  EXPECT_TRUE(cleared.ok());
  out.after = std::move(*cleared);
  return out;
}

/// Parallel strokes at an angle through the ring between two radii, each ending up to `short_px` off its edges.
void hatch_ring(PencilSheet* sheet, Point centre, double inner, double outer, double pitch_px, double angle_deg,
                double short_px) {
  const double angle = angle_deg * std::numbers::pi / 180;
  const Point along{std::cos(angle), std::sin(angle)}, across{-along.y, along.x};
  const auto at = [&](double u, double v) { return centre + u * along + v * across; };
  for (double v = -outer + pitch_px; v < outer - pitch_px / 2; v += pitch_px) {
    const double far = std::sqrt(outer * outer - v * v) - short_px,
                 near = std::abs(v) < inner ? std::sqrt(inner * inner - v * v) + short_px : 0;
    if (far <= near) continue;
    sheet->line(at(-far, v), at(-near, v), 3, 0.5);
    sheet->line(at(near, v), at(far, v), 3, 0.5);
  }
}

PencilSheet hatched_ring(double pitch_px, double short_px, bool crossed) {
  PencilSheet sheet(520, 520);
  sheet.ring({260, 260}, 200, 5, 0.7);
  sheet.ring({260, 260}, 90, 5, 0.7);
  hatch_ring(&sheet, {260, 260}, 90, 200, pitch_px, 35, short_px);
  if (crossed) hatch_ring(&sheet, {260, 260}, 90, 200, pitch_px, 120, short_px);
  return sheet;
}

double ring_ink(const Plane<float>& ink, double radius) {
  double sum = 0;
  constexpr int places = 720;
  for (int k = 0; k < places; ++k) {
    const double a = 2 * std::numbers::pi * k / places;
    sum += sample(ink, 259.5 + radius * std::cos(a), 259.5 + radius * std::sin(a));
  }
  return sum / places;
}

TEST(Hatching, GoesAndBothLinesStay) {
  std::size_t tried = 0;
  for (const double pitch_px : {7., 10., 13.})
    for (const double short_px : {0., 3., -3.})  // up to the line, a little short of it, past it
      for (const bool crossed : {false, true}) {
        // Nearer strokes that cross: see below.
        const Outcome o = run(hatched_ring(crossed ? pitch_px + 5 : pitch_px, short_px, crossed), 31);
        SCOPED_TRACE(std::to_string(pitch_px) + " " + std::to_string(short_px) + (crossed ? " crossed" : ""));
        ASSERT_EQ(o.findings.size(), 1u);
        EXPECT_EQ(o.findings[0].what, Finding::What::hatching_removed);
        for (const double radius : {120., 145., 170.}) {
          EXPECT_GT(ring_ink(o.before.ink, radius), 0.05) << "there was hatching at " << radius;
          EXPECT_LT(std::abs(ring_ink(o.after.ink, radius)), 0.005) << radius;
        }
        for (const double radius : {90., 200.})
          EXPECT_GT(ring_ink(o.after.ink, radius), 0.97 * ring_ink(o.before.ink, radius)) << "the line at " << radius;
        ++tried;
      }
  EXPECT_EQ(tried, 18u);
}

// Strokes that cross so closely that hardly any bare paper is left between them.
TEST(Hatching, CloseStrokesThatCrossGoToo) {
  for (const double pitch_px : {8., 8.4}) {
    const Outcome o = run(hatched_ring(pitch_px, 0, true), 36);
    SCOPED_TRACE(pitch_px);
    ASSERT_EQ(o.findings.size(), 1u);
    for (const double radius : {120., 145., 170.}) {
      EXPECT_GT(ring_ink(o.before.ink, radius), 0.15) << "there was hatching at " << radius;
      EXPECT_LT(std::abs(ring_ink(o.after.ink, radius)), 0.005) << radius;
    }
    for (const double radius : {90., 200.})
      EXPECT_GT(ring_ink(o.after.ink, radius), 0.95 * ring_ink(o.before.ink, radius)) << "the line at " << radius;
  }
}

// A place in the midst of the hatching that was left bare is no counter.
TEST(Hatching, StrokesLeftOutMakeNoCounter) {
  PencilSheet sheet = hatched_ring(10, 0, false);
  sheet.erase(370, 225, 440, 295);  // 110 to 180 px from the centre
  const Outcome o = run(sheet, 37);
  ASSERT_EQ(o.findings.size(), 1u);
  const auto inked = [](const Plane<float>& ink) {
    int count = 0;
    for (int y = 0; y < 520; ++y)
      for (int x = 0; x < 520; ++x) {
        const double radius = std::hypot(x - 259.5, y - 259.5);
        count += radius > 100 && radius < 188 && ink.at(x, y) > 0.05;
      }
    return count;
  };
  EXPECT_GT(inked(o.before.ink), 20000);
  EXPECT_LT(inked(o.after.ink), 10);
}

TEST(Hatching, PaperAroundAndInTheCounterIsNotTouched) {
  const Outcome o = run(hatched_ring(10, 0, false), 32);
  for (int y = 0; y < 520; ++y)
    for (int x = 0; x < 520; ++x) {
      const double radius = std::hypot(x - 259.5, y - 259.5);
      if (radius < 86 || radius > 204) {
        ASSERT_EQ(o.after.ink.at(x, y), o.before.ink.at(x, y)) << x << ' ' << y;
      }
    }
}

TEST(Hatching, NotchesOfTheOutlineAreNoGaps) {
  // A hatched box with a notch in its upper side that tapers from 60 px to nothing.
  PencilSheet sheet(520, 420);
  const std::vector<Point> corners{{60, 60}, {230, 60}, {260, 240}, {290, 60}, {460, 60}, {460, 360}, {60, 360}};
  sheet.polygon(corners, 5, 0.7);
  for (double x = 70; x < 460; x += 9) {
    const double top = x > 230 && x < 290 ? 240 - 6 * std::abs(x - 260) : 60;
    sheet.line({x, top}, {x, 360}, 3, 0.5);
  }
  const Outcome o = run(sheet, 33);
  ASSERT_EQ(o.findings.size(), 1u);
  EXPECT_LT(std::abs(mean(o.after.ink, {90, 100, 100, 200})), 0.005);
  // The walls of the notch keep their ink down to where it is 20 px wide.
  for (double t = 0.05; t < 0.65; t += 0.05)
    for (const int side : {-1, 1}) {
      const double x = 260 + side * 30 * (1 - t) - 0.5, y = 60 + 180 * t - 0.5;
      EXPECT_GT(sample(o.after.ink, x, y), 0.9 * sample(o.before.ink, x, y)) << t << ' ' << side;
    }
}

TEST(Hatching, WhatIsNoneStays) {
  PencilSheet rings(520, 520);  // an outlined shape
  rings.ring({260, 260}, 200, 5, 0.7);
  rings.ring({260, 260}, 90, 5, 0.7);
  PencilSheet shaded(520, 520);  // shaded so densely that no paper is left
  shaded.disc({260, 260}, 200, 0.6);
  PencilSheet strokes(520, 520);  // a bundle of strokes that feel for one edge
  for (int k = -4; k <= 4; ++k) strokes.ring({260, 260}, 180 + 2.2 * k, 3, 0.5);
  PencilSheet boxes(900, 520);  // a diagram: boxes in rows with lines between them
  for (int row = 0; row < 4; ++row)
    for (int column = 0; column < 6; ++column) {
      boxes.box(40 + 140 * column, 40 + 120 * row, 120 + 140 * column, 100 + 120 * row, 3, 0.7);
      boxes.line({120.0 + 140 * column, 70.0 + 120 * row}, {180.0 + 140 * column, 70.0 + 120 * row}, 3, 0.7);
    }
  for (const PencilSheet* sheet : {&rings, &shaded, &strokes, &boxes}) {
    const Outcome o = run(*sheet, 34);
    EXPECT_TRUE(o.findings.empty());
    EXPECT_EQ(o.after.ink.values, o.before.ink.values);
  }
}

TEST(Hatching, WithoutALineRoundThemStrokesStay) {
  PencilSheet sheet(520, 520);
  for (double y = 100; y < 420; y += 30) sheet.line({100, y}, {420, y}, 3, 0.6);
  const Outcome o = run(sheet, 35);
  EXPECT_TRUE(o.findings.empty());
  EXPECT_EQ(o.after.ink.values, o.before.ink.values);
}

TEST(Hatching, StopsWhenAsked) {
  std::stop_source stop;
  Job job;
  job.stop = stop.get_token();
  stop.request_stop();
  Progress progress(job, Stage::ink, 0, 1);
  std::vector<Finding> findings;
  const auto result = remove_hatching({Plane<float>(200, 200, 0.1f), 0.01}, progress, 1, &findings);
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(result.error().code, ErrorCode::cancelled);
}

}  // namespace
}  // namespace batten
