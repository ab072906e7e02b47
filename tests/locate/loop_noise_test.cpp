#include "locate/loop_noise.h"

#include <gtest/gtest.h>

#include <random>

#include "base/arc_loop.h"
#include "support/shapes.h"

namespace batten {
namespace {

Polyline circle(double radius_px) { return resample(support::circle_points({0, 0}, radius_px, 0.1), 1).points; }

// White noise across the loop: the sum of twelve even numbers has a variance of one.
void add_noise(Polyline* loop, double sigma_px) {
  std::mt19937 random(8);
  for (Point& q : *loop) {
    double grain = -6;
    for (int i = 0; i < 12; ++i) grain += double(random()) / 4294967296.;
    q = q + sigma_px * grain * unit(q);
  }
}

TEST(LoopNoise, WhiteNoiseIsRecovered) {
  for (const double sigma_px : {0.1, 0.3}) {
    Polyline loop = circle(200);
    add_noise(&loop, sigma_px);
    EXPECT_NEAR(cubic_residual(loop, 1, 24), sigma_px, 0.1 * sigma_px);
  }
}

TEST(LoopNoise, ASmoothLoopHasHardlyAny) { EXPECT_LT(cubic_residual(circle(200), 1, 24), 0.01); }

TEST(LoopNoise, CornersDoNotCount) {
  const Polyline square = resample(std::vector<Point>{{0, 0}, {200, 0}, {200, 200}, {0, 200}}, 1).points;
  EXPECT_LT(cubic_residual(square, 1, 24), 1e-6);
}

TEST(LoopNoise, ALoopTooShortForAWindowHasNone) { EXPECT_EQ(cubic_residual(circle(1.3), 1, 24), 0); }

}  // namespace
}  // namespace batten
