// What a drawn curve tells about its corners and straights.

#include "corners/curve_loop.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/random.h"
#include "support/shapes.h"
#include "support/spoil.h"

namespace batten {
namespace {

using namespace batten::support;

std::size_t corners_of(const Outline& outline) {
  const std::optional<Loop> loop = loop_of_curve(outline, 1);
  return loop && loop->known ? loop->known->corners.size() : 99;
}

TEST(CurveLoop, FacetsOfARoundAreNoCorners) {
  for (const double radius : {8.0, 20.0, 300.0}) {
    const Outline round = circle({0, 0}, radius, 4, standard_handle(4));
    EXPECT_EQ(corners_of(round), 0u);
    EXPECT_EQ(corners_of(cut_up(round, 50)), 0u);
    for (const double flatness : {0.5, 0.1, 0.01, 0.0001})
      EXPECT_EQ(corners_of(flattened(round, flatness)), 0u) << radius;
  }
}

TEST(CurveLoop, AFacetThatASmoothCurveWouldMissIsACorner) {
  Polyline places;  // sides of 52 px: a circle through the corners lies 3.4 px off their middles
  for (int i = 0; i < 12; ++i) places.push_back({100 * std::cos(i * M_PI / 6), 100 * std::sin(i * M_PI / 6)});
  EXPECT_EQ(corners_of(polygon(places)), 12u);
  for (Point& p : places) p = 0.05 * p;  // sides of 2.6 px: it lies 0.2 px off
  EXPECT_EQ(corners_of(polygon(places)), 0u);
}

TEST(CurveLoop, CornersBetweenFinelyCutSidesStand) {
  const Outline square = polygon({{0, 0}, {100, 0}, {100, 100}, {0, 100}});
  for (const int pieces : {1, 7, 300, 5000}) {
    const std::optional<Loop> loop = loop_of_curve(cut_up(square, pieces), 1);
    ASSERT_TRUE(loop && loop->known) << pieces;
    EXPECT_EQ(loop->known->corners.size(), 4u) << pieces;
    EXPECT_EQ(loop->known->straights.size(), 4u) << pieces;
    for (std::size_t i = 0; i < loop->known->corners.size(); ++i)
      EXPECT_EQ(loop->known->corners[i].at, square.nodes[i].at) << pieces;
  }
}

// Straights that run into finely cut rounds without a corner.
TEST(CurveLoop, ARoundedBoxHasFourStraights) {
  Polyline places;
  const Point centres[] = {{80, 20}, {80, 80}, {20, 80}, {20, 20}};
  for (int q = 0; q < 4; ++q)
    for (int i = 0; i <= 30; ++i) {
      const double a = (q - 1 + i / 30.0) * M_PI / 2;
      places.push_back(centres[q] + Point{20 * std::cos(a), 20 * std::sin(a)});
    }
  const std::optional<Loop> loop = loop_of_curve(polygon(places), 0.5);
  ASSERT_TRUE(loop && loop->known);
  EXPECT_EQ(loop->known->corners.size(), 0u);
  EXPECT_EQ(loop->known->straights.size(), 4u);
}

TEST(CurveLoop, NoiseIsNotTakenForCorners) {
  Random random("CurveLoop", "noise");
  const std::optional<Loop> loop =
      loop_of_curve(sampled(circle({0, 0}, 80, 4, standard_handle(4)), 1, 0.2, &random), 0.75);
  ASSERT_TRUE(loop);
  EXPECT_FALSE(loop->known);
  EXPECT_GT(loop->sigma_px, 0.05);
}

TEST(CurveLoop, APlaceHasNoLoop) {
  Outline place;
  place.nodes = {{{1, 1}, {1, 1}, {1, 1}}, {{1, 1}, {1, 1}, {1, 1}}};
  EXPECT_FALSE(loop_of_curve(place, 1));
  EXPECT_FALSE(loop_of_curve({}, 1));
}

}  // namespace
}  // namespace batten
