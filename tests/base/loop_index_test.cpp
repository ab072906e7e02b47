#include "base/loop_index.h"

#include <gtest/gtest.h>

#include "support/random.h"

namespace batten {
namespace {

const ArcLoop a = resample(std::vector<Point>{{0, 0}, {200, 10}, {150, 160}, {20, 120}}, 1);
const ArcLoop b = resample(std::vector<Point>{{60, 40}, {120, 40}, {90, 90}}, 1);

TEST(LoopIndex, NearestAgreesWithLookingAtEveryPoint) {
  support::Random random("LoopIndex", "nearest");
  const LoopIndex index({&a, &b}, 1, 12);
  for (int k = 0; k < 300; ++k) {
    const Point p{random.uniform(-20, 220), random.uniform(-20, 180)};
    double best = 1e9;
    int owner = -1;
    for (int j = 0; j < 2; ++j)
      for (Point q : (j ? b : a).points)
        if (distance(p, q) < best) best = distance(p, q), owner = j;
    const auto found = index.nearest(p, 40);
    if (best > 40) {
      EXPECT_EQ(found.loop, -1);
    } else {
      EXPECT_EQ(found.loop, owner);
      EXPECT_NEAR(found.distance_px, best, 1e-9);
    }
  }
}

TEST(LoopIndex, WithinFindsEveryPointOfBothLoops) {
  const LoopIndex index({&a, &b}, 1, 12);
  const Point p{90, 60};
  std::size_t expected = 0;
  for (const ArcLoop* loop : {&a, &b})
    for (Point q : loop->points) expected += distance(p, q) <= 70;
  EXPECT_EQ(index.within(p, 70).size(), expected);
  for (const auto& place : index.within(p, 70)) EXPECT_NEAR(distance(index.at(place), p), place.distance_px, 1e-9);
}

TEST(LoopIndex, TheOwnStretchIsNotForeign) {
  // A hairpin of two walls 6 px apart.
  const ArcLoop pin = resample(std::vector<Point>{{0, 0}, {100, 0}, {100, 6}, {0, 6}}, 1);
  const LoopIndex index({&pin}, 1, 8);
  EXPECT_TRUE(index.foreign_near({30, 0}, 7, 0, 30, 20)) << "the other wall, 146 px along";
  EXPECT_FALSE(index.foreign_near({30, 0}, 5, 0, 30, 20)) << "out of reach";
  EXPECT_FALSE(index.foreign_near({99, 0}, 7, 0, 99, 20)) << "round the end it is the same stretch";
}

// The cells between them would be 6e12.
TEST(LoopIndex, LoopsFarApartTakeNoMoreThanTheirLength) {
  ArcLoop far = b;
  for (Point& p : far.points) p = p + Point{1e7, 1e7};
  const LoopIndex index({&b, &far}, 1, 4);
  EXPECT_EQ(index.nearest({1e7 + 90, 1e7 + 38}, 10).loop, 1);
  EXPECT_NEAR(index.nearest({90, 38}, 10).distance_px, 2, 0.2);
  EXPECT_EQ(index.nearest({5e6, 5e6}, 100).loop, -1);
  EXPECT_EQ(index.within({1e7 + 90, 1e7 + 60}, 300).size(), far.points.size());
  EXPECT_FALSE(index.foreign_near({90, 40}, 200, 0, 30, 400)) << "the other is far away";
}

TEST(LoopIndex, NothingIsNearNothing) {
  const LoopIndex index({}, 1, 10);
  EXPECT_EQ(index.nearest({5, 5}, 100).loop, -1);
  EXPECT_TRUE(index.within({5, 5}, 100).empty());
}

}  // namespace
}  // namespace batten
