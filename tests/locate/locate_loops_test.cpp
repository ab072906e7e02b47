#include "locate/locate_loops.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "api/pixel_pipeline.h"
#include "locate/locate_band.h"
#include "locate/locate_edge.h"
#include "shapes/fill_contrast.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

Loops trace(const PencilSheet::Scanned& scanned) {
  std::vector<Finding> findings;
  auto loops = loops_from_pixels(scanned.view(), {}, {}, findings);
  EXPECT_TRUE(loops.ok()) << (loops.ok() ? "" : loops.error().message);
  return loops.ok() ? std::move(*loops) : Loops{};
}

TEST(LocateLoops, CrispEdgesAtAnyPlaceWithinATenth) {
  for (const double shift : {0., 0.2, 0.35, 0.5, 0.8}) {
    PencilSheet sheet(200, 200);
    for (int y = 0; y < 200; ++y)
      for (int x = 0; x < 200; ++x) {  // exact coverage of a vertical rectangle
        const auto overlap = [](double pixel, double lo, double hi) {
          return std::max(0., std::min(pixel + 1, hi) - std::max(pixel, lo));
        };
        sheet.cover(x, y, overlap(x, 50 + shift, 150 + shift) * overlap(y, 60 + shift, 140 + shift));
      }
    const Loops loops = trace(sheet.scan(0, 0, 255, 0));
    ASSERT_EQ(loops.loops.size(), 1u);
    EXPECT_EQ(loops.loops[0].band_px, 0);
    for (const Point& p : loops.loops[0].points)
      if (p.y > 70 && p.y < 130) {
        EXPECT_NEAR(p.x, p.x < 100 ? 50 + shift : 150 + shift, 0.1);
      }
  }
}

TEST(LocateLoops, ShadedEdgeWithoutBias) {
  PencilSheet sheet(300, 300);
  sheet.disc({150.4, 149.7}, 100, 0.7);
  std::mt19937 random(6);
  for (float& k : sheet.ink.values) k *= 0.7f + 0.3f * float(random()) / 4294967296.f;
  const Loops loops = trace(sheet.scan(51));
  ASSERT_EQ(loops.loops.size(), 1u);
  const Loop& loop = loops.loops[0];
  EXPECT_EQ(loop.kind, Kind::filled);
  double sum = 0, square = 0;
  for (const Point& p : loop.points) {
    const double d = std::hypot(p.x - 150.4, p.y - 149.7) - 100;
    sum += d, square += d * d;
  }
  const double n = double(loop.points.size());
  EXPECT_NEAR(sum / n, 0, 0.1);
  EXPECT_LT(std::sqrt(square / n), 0.2);
}

TEST(LocateLoops, AFirmedRimDoesNotMoveTheEdge) {
  const Point centre{150.4, 149.7};
  PencilSheet sheet(300, 300);
  sheet.disc(centre, 100, 0.6);
  std::mt19937 random(6);
  for (float& k : sheet.ink.values) k *= 0.8f + 0.2f * float(random()) / 4294967296.f;
  for (int y = 0; y < 300; ++y)  // the right half of the rim, 6 px wide, is gone over again
    for (int x = 150; x < 300; ++x)
      if (std::hypot(x + 0.5 - centre.x, y + 0.5 - centre.y) > 94) sheet.ink.at(x, y) *= 1.4f;
  const Loops loops = trace(sheet.scan(51));
  ASSERT_EQ(loops.loops.size(), 1u);
  double sum[2] = {}, count[2] = {};
  for (const Point& p : loops.loops[0].points) {
    if (std::abs(p.x - centre.x) < 20) continue;  // where one becomes the other
    const int right = p.x > centre.x;
    sum[right] += std::hypot(p.x - centre.x, p.y - centre.y) - 100, ++count[right];
  }
  EXPECT_NEAR(sum[0] / count[0], 0, 0.03);
  EXPECT_NEAR(sum[1] / count[1], 0, 0.03);
}

// Stroke that wavers slowly about a circle: the stated uncertainty must be of the size of the error.
TEST(LocateLoops, SigmaIsOfTheSizeOfTheError) {
  std::vector<double> ratios;
  for (unsigned seed = 1; seed <= 6; ++seed) {
    std::mt19937 random(seed);
    PencilSheet sheet(500, 500);
    for (int stroke = 0; stroke < 40; ++stroke) {  // short strokes that each miss the circle a little
      const double from = 2 * 3.14159265 * stroke / 40, off = 5. * (double(random()) / 4294967296. - 0.5);
      Point last;
      for (int i = 0; i <= 30; ++i) {
        const double a = from + 0.5 * i / 30., r = 180 + off;
        const Point p{250 + r * std::cos(a), 250 + r * std::sin(a)};
        if (i) sheet.line(last, p, 3.5, 0.35);
        last = p;
      }
    }
    const Loops loops = trace(sheet.with_grain(seed).scan(seed));
    ASSERT_EQ(loops.loops.size(), 1u);
    double square = 0;
    for (const Point& p : loops.loops[0].points) square += std::pow(std::hypot(p.x - 250, p.y - 250) - 180, 2);
    ratios.push_back(std::sqrt(square / double(loops.loops[0].points.size())) / loops.loops[0].sigma_px);
  }
  std::sort(ratios.begin(), ratios.end());
  EXPECT_GT(ratios[2], 0.5);
  EXPECT_LT(ratios[3], 2);
}

TEST(LocateLoops, ABandIsNotPulledByItsNeighbour) {
  // Two lines 9 px apart, W about 6: the nearer half of each window holds the other line's ink.
  PencilSheet sheet(400, 300);
  sheet.box(60, 60, 200, 240, 5, 0.7);
  sheet.box(209, 60, 340, 240, 5, 0.7);
  const Loops loops = trace(sheet.scan(52));
  ASSERT_EQ(loops.loops.size(), 2u);
  for (const Loop& l : loops.loops)
    for (const Point& p : l.points)
      if (p.y > 90 && p.y < 210 && p.x > 180 && p.x < 230) {
        EXPECT_NEAR(p.x, p.x < 204.5 ? 200 : 209, 0.5);
      }
}

TEST(LocateLoops, EveryLoopSaysWhatItIs) {
  PencilSheet sheet(300, 300);
  sheet.ring({150, 150}, 90, 5, 0.7);
  const Loops loops = trace(sheet.scan(53));
  ASSERT_EQ(loops.loops.size(), 1u);
  const Loop& l = loops.loops[0];
  EXPECT_NEAR(l.rounding_px, 0.3 * l.band_px, 1e-9);
  EXPECT_NEAR(l.correlation_px, 4.5 * l.band_px, 1e-9);
  EXPECT_GT(l.sigma_px, 0);
  for (std::size_t i = 0; i < l.points.size(); ++i) {
    const Point d = l.points[(i + 1) % l.points.size()] - l.points[i];
    EXPECT_NEAR(std::hypot(d.x, d.y), 1, 0.05);
  }
}

}  // namespace
}  // namespace batten
