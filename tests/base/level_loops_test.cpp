#include "base/level_loops.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <random>

#include "base/plane_cv.h"

namespace batten {
namespace {

constexpr double pi = 3.14159265358979323846;

// A shape painted eight times finer, blurred by sigma, and read at the middle of each pixel.
template <class Inside>
Plane<float> blurred(int size, double sigma, Inside inside) {
  constexpr int fine = 8;
  cv::Mat1f big(size * fine, size * fine);
  for (int y = 0; y < big.rows; ++y)
    for (int x = 0; x < big.cols; ++x) big(y, x) = inside((x + 0.5) / fine - 0.5, (y + 0.5) / fine - 0.5) ? 1.f : 0.f;
  cv::GaussianBlur(big, big, {}, sigma * fine, sigma * fine, cv::BORDER_REPLICATE);
  Plane<float> out(size, size);
  for (int y = 0; y < size; ++y)
    for (int x = 0; x < size; ++x) {  // the middle of a pixel lies between four fine ones
      const int u = x * fine + fine / 2, v = y * fine + fine / 2;
      out.at(x, y) = (big(v, u) + big(v - 1, u) + big(v, u - 1) + big(v - 1, u - 1)) / 4;
    }
  return out;
}

double mean_radius(const Polyline& loop, Point c) {
  double sum = 0;
  for (const Point& p : loop) sum += std::hypot(p.x - c.x, p.y - c.y);
  return sum / double(loop.size());
}

TEST(LevelLoops, BlurredDiscShrinksAsPublished) {
  // Bias of the half level on a curved edge, -sigma^2/2R to first order: Verbeek and van Vliet, On the location error
  // of curved edges in low-pass filtered 2-D and 3-D images, PAMI 16, 1994. Values by numerical integration.
  const struct {
    double radius, sigma, bias;
  } cases[] = {{20, 1, -0.0250}, {10, 1, -0.0502}, {10, 2, -0.2035}, {10, 3, -0.4685}};
  for (const auto& c : cases) {
    const Point middle{31.3, 30.8};
    const auto plane =
        blurred(64, c.sigma, [&](double x, double y) { return std::hypot(x - middle.x, y - middle.y) < c.radius; });
    const auto loops = level_loops(plane, 0.5f);
    ASSERT_EQ(loops.size(), 1u);
    EXPECT_NEAR(mean_radius(loops[0], middle) - c.radius, c.bias, 0.012) << c.radius << " " << c.sigma;
    EXPECT_GT(signed_area_px2(loops[0]), 0);
  }
}

TEST(LevelLoops, BlurredWedgeIsRoundedAsComputed) {
  // Half level of a blurred wedge on its bisector, distance from the apex in sigma. At 90 degrees the blurred wedge is
  // Phi(x/sigma) Phi(y/sigma), so the distance is sqrt(2) Phi^-1(sqrt(1/2)) = 0.7707.
  const struct {
    double angle_deg, distance;
  } cases[] = {{45, 1.7405}, {60, 1.2847}, {90, 0.7707}, {120, 0.4544}, {135, 0.3281}};
  for (const auto& c : cases) {
    const double half = c.angle_deg / 2 * pi / 180, sigma = 3;
    const Point apex{12.4, 32.2};
    const auto plane =
        blurred(64, sigma, [&](double x, double y) { return std::abs(std::atan2(y - apex.y, x - apex.x)) < half; });
    double nearest = 1e9;
    for (const Polyline& loop : level_loops(plane, 0.5f))
      for (const Point& p : loop)
        if (std::abs(p.y - apex.y) < 1) nearest = std::min(nearest, p.x - apex.x);
    EXPECT_NEAR(nearest / sigma, c.distance, 0.03) << c.angle_deg;
  }
}

TEST(LevelLoops, HolesRunTheOtherWayAndEveryLoopCloses) {
  Plane<float> p(40, 30);
  for (int y = 5; y < 25; ++y)
    for (int x = 5; x < 35; ++x) p.at(x, y) = x < 12 || x > 25 || y < 10 || y > 20;
  const auto loops = level_loops(p, 0.5f);
  ASSERT_EQ(loops.size(), 2u);
  EXPECT_GT(signed_area_px2(loops[0]), 0);
  EXPECT_LT(signed_area_px2(loops[1]), 0);
  EXPECT_NEAR(signed_area_px2(loops[0]), 30 * 20, 1);
  for (const Polyline& loop : loops)
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Point d = loop[(i + 1) % loop.size()] - loop[i];
      EXPECT_LE(std::hypot(d.x, d.y), 1.42);
    }
}

TEST(LevelLoops, RandomGroundIsPartedCleanly) {
  std::mt19937 random(4);
  Plane<float> p(50, 50);
  double high = 0;
  for (float& v : p.values) v = float(random()) / 4294967296.f, high += v > 0.5;
  std::size_t points = 0;
  for (const Polyline& loop : level_loops(p, 0.5f)) points += loop.size();
  // Each edge of the grid between a high and a low pixel is crossed once, the rim included.
  std::size_t edges = 0;
  const auto is_high = [&](int x, int y) { return x >= 0 && y >= 0 && x < 50 && y < 50 && p.at(x, y) > 0.5f; };
  for (int y = -1; y < 50; ++y)
    for (int x = -1; x < 50; ++x) edges += (is_high(x, y) != is_high(x + 1, y)) + (is_high(x, y) != is_high(x, y + 1));
  EXPECT_EQ(points, edges);
}

TEST(LevelLoops, NothingHighNoLoop) {
  EXPECT_TRUE(level_loops(Plane<float>(5, 5, 0.2f), 0.5f).empty());
  EXPECT_TRUE(level_loops(Plane<float>(), 0.5f).empty());
  EXPECT_EQ(level_loops(Plane<float>(1, 1, 1.f), 0.5f).size(), 1u);
}

}  // namespace
}  // namespace batten
