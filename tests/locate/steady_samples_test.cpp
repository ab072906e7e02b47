#include "locate/steady_samples.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "base/vec.h"
#include "support/random.h"

namespace batten {
namespace {

using support::Random;

std::vector<Point> circle(int count, double radius_px, double noise_px, Random* random) {
  std::vector<Point> out;
  for (int i = 0; i < count; ++i) {
    const double a = 2 * std::numbers::pi * i / count;
    out.push_back({radius_px * std::cos(a), radius_px * std::sin(a)});
    if (noise_px > 0) out.back() = out.back() + Point{random->normal(noise_px), random->normal(noise_px)};
  }
  return out;
}

TEST(SteadySamples, NoiseIsMeasuredWhateverTheShape) {
  Random random("SteadySamples", "noise");
  for (const double noise_px : {0.05, 0.2, 0.5, 1.0})
    for (const double radius_px : {30.0, 300.0}) {
      const double measured_px = sample_noise_px(circle(2000, radius_px, noise_px, &random), true);
      EXPECT_NEAR(measured_px, noise_px, 0.08 * noise_px) << radius_px;
    }
  EXPECT_LT(sample_noise_px(circle(2000, 100, 0, &random), true), 1e-3);
  EXPECT_LT(sample_noise_px(circle(60, 100, 0, &random), true), 0.04) << "steps of 10 px on a circle of 100";
}

TEST(SteadySamples, ExactOnesAndPolygonsAreLeftAlone) {
  Random random("SteadySamples", "exact");
  EXPECT_FALSE(steady_samples(circle(1000, 80, 0, &random), true));
  EXPECT_FALSE(steady_samples(circle(12, 80, 3, &random), true)) << "a dozen corners";
  std::vector<Point> far_apart;
  for (int i = 0; i < 40; ++i) far_apart.push_back({random.uniform(0, 1e4), random.uniform(0, 1e4)});
  EXPECT_FALSE(steady_samples(far_apart, true)) << "corners anywhere";
}

TEST(SteadySamples, NoiseGoesAndTheShapeStays) {
  Random random("SteadySamples", "steady");
  const auto steady = steady_samples(circle(1200, 100, 0.3, &random), true);
  ASSERT_TRUE(steady);
  ASSERT_EQ(steady->points.size(), 1200u);
  double squares = 0, mean = 0;
  for (const Point p : steady->points) {
    const double off = std::hypot(p.x, p.y) - 100;
    squares += off * off / 1200, mean += off / 1200;
  }
  EXPECT_LT(std::sqrt(squares), 0.1);
  EXPECT_NEAR(std::sqrt(squares), steady->sigma_px, 0.03);
  EXPECT_NEAR(mean, 0, 0.02) << "a quadratic follows the bend of a circle";
}

TEST(SteadySamples, EndsOfAnOpenLineStay) {
  Random random("SteadySamples", "open");
  std::vector<Point> line;
  for (int i = 0; i < 400; ++i) line.push_back({0.5 * i, random.normal(0.3)});
  const auto steady = steady_samples(line, false);
  ASSERT_TRUE(steady);
  EXPECT_EQ(steady->points.front(), line.front());
  EXPECT_EQ(steady->points.back(), line.back());
}

// The staircase that a contour follows from pixel to pixel: rounding to whole numbers has a variance of 1/12.
TEST(SteadySamples, AStaircaseHasTheNoiseOfRounding) {
  std::vector<Point> stairs;
  Point at{60, 0};
  // Along a circle of 60 px by steps of one pixel that stay nearest to it (Bresenham's, by definition).
  do {
    stairs.push_back(at);
    Point best{};
    double least = 1e9;
    for (int dx = -1; dx <= 1; ++dx)
      for (int dy = -1; dy <= 1; ++dy) {
        const Point next{at.x + dx, at.y + dy};
        if ((!dx && !dy) || at.x * next.y - at.y * next.x <= 0) continue;
        if (const double off = std::abs(std::hypot(next.x, next.y) - 60); off < least) least = off, best = next;
      }
    at = best;
  } while (!(at == stairs.front()) && stairs.size() < 1000);
  ASSERT_LT(stairs.size(), 1000u);
  EXPECT_GE(sample_noise_px(stairs, true), std::sqrt(1.0 / 12) - 0.01);
  const auto steady = steady_samples(stairs, true);
  ASSERT_TRUE(steady);
  for (const Point p : steady->points) EXPECT_NEAR(std::hypot(p.x, p.y), 60, 0.5);
}

TEST(SteadySamples, WhatIsKnownLessCountsLess) {
  support::Random random("SteadySamples", "weights");
  std::vector<Point> points;
  std::vector<double> sigmas_px;
  for (int i = 0; i < 2000; ++i) {
    const double a = 2 * 3.14159265358979323846 * i / 2000, sigma_px = i % 3 == 0 ? 1.5 : 0.1;
    const double r = 150 + random.normal(sigma_px);
    points.push_back({200 + r * std::cos(a), 200 + r * std::sin(a)});
    sigmas_px.push_back(sigma_px);
  }
  const auto rms_px = [](const std::vector<Point>& line) {
    double sum = 0;
    for (const Point p : line) sum += std::pow(std::hypot(p.x - 200, p.y - 200) - 150, 2);
    return std::sqrt(sum / double(line.size()));
  };
  const auto weighted = steady_samples(points, true, sigmas_px);
  const auto alike = steady_samples(points, true, std::vector<double>(points.size(), 0.87));  // their rms
  ASSERT_TRUE(weighted && alike);
  EXPECT_NEAR(weighted->noise_px, 0.87, 0.01);
  EXPECT_EQ(weighted->window_px, alike->window_px);
  EXPECT_LT(rms_px(weighted->points), 0.06);
  EXPECT_LT(rms_px(weighted->points), 0.4 * rms_px(alike->points));
}

TEST(SteadySamples, OneNumberForAllIsTheSameAsOneForEach) {
  support::Random random("SteadySamples", "same");
  std::vector<Point> points;
  for (int i = 0; i < 600; ++i) points.push_back({0.5 * i + random.normal(0.3), random.normal(0.3)});
  const auto one = steady_samples(points, false, std::vector<double>(points.size(), 0.3));
  ASSERT_TRUE(one);
  // Weights that are all but equal give the closed form's line.
  std::vector<double> nearly(points.size(), 0.3);
  nearly[5] = 0.3 + 1e-9;
  const auto each = steady_samples(points, false, nearly);
  ASSERT_TRUE(each);
  for (std::size_t i = 0; i < points.size(); ++i) {
    EXPECT_NEAR(one->points[i].x, each->points[i].x, 1e-6);
    EXPECT_NEAR(one->points[i].y, each->points[i].y, 1e-6);
  }
}

}  // namespace
}  // namespace batten
