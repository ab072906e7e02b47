#include "locate/locate_edge.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

const Point centre{60.3, 59.6};

// Contrast of a disc of 40 px: 0 on its edge, positive inside, even beyond 3 px.
Plane<float> disc() {
  Plane<float> contrast(120, 120);
  for (int y = 0; y < 120; ++y)
    for (int x = 0; x < 120; ++x)
      contrast.at(x, y) = float(std::clamp((40 - distance({double(x), double(y)}, centre)) / 6, -0.5, 0.5));
  return contrast;
}

Polyline rough_circle(double radius_px) {
  Polyline loop;
  for (int i = 0; i < 200; ++i) loop.push_back(centre + radius_px * direction(2 * pi * i / 200));
  return loop;
}

constexpr EdgeSettings settings{.step_px = 0.5, .search_px = 4, .averaging_px = 0.5};

TEST(LocateEdge, ARoughLoopMovesOntoTheEdge) {
  for (const double off_px : {-2.5, 0., 2.5}) {
    const Polyline loop = locate_edge(rough_circle(40 + off_px), disc(), settings);
    for (const Point p : loop) EXPECT_NEAR(distance(p, centre), 40, 0.02) << off_px;
    for (std::size_t i = 0; i < loop.size(); ++i)
      EXPECT_NEAR(distance(loop[i], loop[(i + 1) % loop.size()]), settings.step_px, 0.01);
  }
}

TEST(LocateEdge, OfTwoEdgesTheNearerOneCounts) {
  Plane<float> contrast = disc();
  for (int y = 0; y < 120; ++y)
    for (int x = 0; x < 120; ++x)  // a ring begins 3.5 px outside the disc
      if (distance({double(x), double(y)}, centre) > 43.5) contrast.at(x, y) = 0.5f;
  for (const Point p : locate_edge(rough_circle(41), contrast, settings)) EXPECT_NEAR(distance(p, centre), 40, 0.05);
}

TEST(LocateEdge, WithoutAnEdgeInSightNothingMoves) {
  const Polyline loop = locate_edge(rough_circle(40), Plane<float>(120, 120, -0.5f), settings);
  for (const Point p : loop) EXPECT_NEAR(distance(p, centre), 40, 0.02);
}

}  // namespace
}  // namespace batten
