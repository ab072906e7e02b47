#include "network/bridge_junctions.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

TEST(BridgeJunctions, AStraightLineRunsStraightThrough) {
  Polyline line;
  std::vector<char> sure;
  for (int i = 0; i <= 60; ++i) {
    const bool at_junction = i > 25 && i < 35;
    line.push_back({double(i), at_junction ? 3. : 0.});
    sure.push_back(!at_junction);
  }
  bridge_junctions(false, 5, sure, &line);
  for (const Point p : line) EXPECT_NEAR(p.y, 0, 1e-9);
}

TEST(BridgeJunctions, ACornerIsWhereTheTwoSidesMeet) {
  Polyline line;
  std::vector<char> sure;
  for (int i = 0; i <= 30; ++i) line.push_back({double(i), 0}), sure.push_back(i < 26);
  for (int i = 1; i <= 30; ++i) line.push_back({30, double(i)}), sure.push_back(i > 4);
  for (std::size_t i = 27; i < 34; ++i) line[i] = line[i] + Point{-2, 2};  // rounded by thinning
  bridge_junctions(false, 5, sure, &line);
  double nearest_px = 1e9;
  for (const Point p : line) {
    nearest_px = std::min(nearest_px, distance(p, {30, 0}));
    EXPECT_TRUE(std::abs(p.y) < 1e-9 || std::abs(p.x - 30) < 1e-9) << p.x << ' ' << p.y;
  }
  EXPECT_LT(nearest_px, 1);
}

TEST(BridgeJunctions, EndsRunStraightOn) {
  Polyline line;
  std::vector<char> sure;
  for (int i = 0; i <= 40; ++i) line.push_back({double(i), i > 34 ? 2. : 0.}), sure.push_back(i <= 34);
  bridge_junctions(false, 5, sure, &line);
  EXPECT_NEAR(line.back().x, 40, 1e-9);
  EXPECT_NEAR(line.back().y, 0, 1e-9);
}

TEST(BridgeJunctions, ARoundThatIsCrossedOftenStaysWhereItsInkIs) {
  // A third of a ring of radius 50 is not sure. Both sides run straight on to a corner 50 px outside it.
  Polyline ring;
  std::vector<char> sure;
  for (int degrees = 0; degrees < 360; ++degrees) {
    ring.push_back(Point{100, 100} + 50 * direction(radians(degrees)));
    sure.push_back(degrees < 100 || degrees > 220);
  }
  bridge_junctions(true, 6, sure, &ring);
  for (const Point p : ring) EXPECT_NEAR(distance(p, {100, 100}), 50, 1e-9);
}

}  // namespace
}  // namespace batten
