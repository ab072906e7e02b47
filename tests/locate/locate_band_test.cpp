#include "locate/locate_band.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

constexpr int size = 200;
const Point centre{99.6, 100.3};
constexpr double band_px = 6;

// Adds a band round a circle, Gaussian across with a standard deviation of a third of its width.
void add_ring(double radius_px, double darkness, Plane<float>* ink) {
  for (int y = 0; y < size; ++y)
    for (int x = 0; x < size; ++x) {
      const double off = (distance({double(x), double(y)}, centre) - radius_px) / (band_px / 3);
      ink->at(x, y) += float(darkness * std::exp(-0.5 * off * off));
    }
}

// A circle with six ripples of the given height.
Polyline rough_circle(double radius_px, double ripple_px) {
  Polyline loop;
  for (int i = 0; i < 400; ++i) {
    const double a = 2 * pi * i / 400;
    loop.push_back(centre + (radius_px + ripple_px * std::sin(6 * a)) * direction(a));
  }
  return loop;
}

TEST(LocateBands, ARoughLoopMovesIntoTheMiddleOfItsBand) {
  Plane<float> ink(size, size);
  add_ring(70, 0.7, &ink);
  for (const double off_px : {-1.5, 0., 1.5}) {
    const std::vector<Polyline> located = locate_bands({rough_circle(70 + off_px, 1)}, ink, {band_px, 0.001}, {});
    ASSERT_EQ(located.size(), 1u);
    for (const Point p : located[0]) EXPECT_NEAR(distance(p, centre), 70, 0.1) << off_px;
    for (std::size_t i = 0; i < located[0].size(); ++i)
      EXPECT_NEAR(distance(located[0][i], located[0][(i + 1) % located[0].size()]), 1, 0.02);
  }
}

TEST(LocateBands, ADarkerNeighbourPullsNothing) {
  Plane<float> ink(size, size);
  add_ring(70, 0.4, &ink);
  add_ring(55, 0.8, &ink);
  const std::vector<Polyline> located =
      locate_bands({rough_circle(70, 0), rough_circle(55, 0)}, ink, {band_px, 0.001}, {});
  ASSERT_EQ(located.size(), 2u);
  for (const Point p : located[0]) EXPECT_NEAR(distance(p, centre), 70, 0.15);
  for (const Point p : located[1]) EXPECT_NEAR(distance(p, centre), 55, 0.15);
}

TEST(LocateBands, InkBelowTheNoiseDoesNotWeigh) {
  Plane<float> ink(size, size);
  add_ring(70, 0.7, &ink);
  for (int y = 0; y < size; ++y)
    for (int x = 0; x < size / 2; ++x) ink.at(x, y) += 0.018f;  // paper a little darker on one side
  const std::vector<Polyline> located = locate_bands({rough_circle(70, 0)}, ink, {band_px, 0.01}, {});
  ASSERT_EQ(located.size(), 1u);
  for (const Point p : located[0]) EXPECT_NEAR(distance(p, centre), 70, 0.1);
}

TEST(LocateBands, MoreThreadsGiveTheSame) {
  Plane<float> ink(size, size);
  add_ring(70, 0.5, &ink), add_ring(40, 0.6, &ink);
  const std::vector<Polyline> rough{rough_circle(71, 1), rough_circle(39, 1)};
  EXPECT_EQ(locate_bands(rough, ink, {band_px, 0.01}, {}, 1), locate_bands(rough, ink, {band_px, 0.01}, {}, 3));
}

}  // namespace
}  // namespace batten
