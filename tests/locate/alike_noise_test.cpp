#include "locate/alike_noise.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/polyline.h"
#include "support/noise.h"
#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

using support::Alike;
using support::Random;

std::vector<Point> ellipse(double a, double b) {
  std::vector<Point> out;
  const int count = int(7 * std::max(a, b));
  for (int i = 0; i < count; ++i) {
    const double t = 2 * 3.14159265358979323846 * i / count;
    out.push_back({300 + a * std::cos(t), 300 + b * std::sin(t)});
  }
  return out;
}

AlikeNoise found(const std::vector<Point>& points) { return alike_noise(resample(points, 0.5)); }

TEST(AlikeNoise, IsFoundWhateverTheWayItsCorrelationFalls) {
  Random random("AlikeNoise", "found");
  for (const Alike kind : {Alike::bell, Alike::mean, Alike::exponential})
    for (const double sigma_px : {0.2, 0.5, 1.0}) {
      double sum = 0;
      for (int draw = 0; draw < 5; ++draw) {
        const auto noisy = support::with_noise({ellipse(260, 240)}, sigma_px, kind, 10, &random);
        sum += found(noisy[0]).sigma_px / 5;
      }
      // It decides how small an extreme or a corner is none: half of what it was drawn with does for that, and more
      // than it would make the line less known than it is. A bell is the smoothest, of which a cubic takes up most.
      EXPECT_GT(sum, sigma_px * 0.5) << int(kind);
      EXPECT_LT(sum, sigma_px * 1.5) << int(kind);
    }
}

TEST(AlikeNoise, ShapesWithoutNoiseHaveNone) {
  for (const auto& [a, b] : {std::pair(260.0, 240.0), {100.0, 60.0}, {40.0, 40.0}, {15.0, 10.0}, {300.0, 30.0}})
    EXPECT_EQ(found(ellipse(a, b)).sigma_px, 0) << a << " x " << b;
  for (const double side_px : {20.0, 60.0, 150.0}) {
    std::vector<Point> star;
    for (int i = 0; i < 10; ++i) {
      const double turn = 3.14159265358979323846 * i / 5, r = i % 2 ? side_px : 2.2 * side_px;
      star.push_back({400 + r * std::sin(turn), 400 - r * std::cos(turn)});
    }
    EXPECT_EQ(found(support::points_of(support::polygon(star), 0.5)).sigma_px, 0) << side_px;
  }
}

TEST(AlikeNoise, ShortLinesTellNothing) {
  EXPECT_EQ(alike_noise(resample_line(std::vector<Point>{{0, 0}, {60, 1}}, 0.5, 10)).sigma_px, 0);
  Random random("AlikeNoise", "short");
  const auto noisy = support::with_noise({ellipse(6, 6)}, 0.5, Alike::bell, 10, &random);
  EXPECT_EQ(found(noisy[0]).sigma_px, 0);
}

TEST(AlikeNoise, OpenLinesAreReadBetweenTheirEnds) {
  Random random("AlikeNoise", "open");
  std::vector<Point> line;
  for (int i = 0; i < 1600; ++i) line.push_back({0.5 * i, 100.0});
  const auto noisy = support::with_noise({line}, 0.4, Alike::bell, 10, &random);
  const AlikeNoise noise = alike_noise(resample_line(noisy[0], 0.5, 10));
  EXPECT_GT(noise.sigma_px, 0.25);
  EXPECT_LT(noise.sigma_px, 0.65);
  EXPECT_EQ(alike_noise(resample_line(line, 0.5, 10)).sigma_px, 0);
}

}  // namespace
}  // namespace batten
