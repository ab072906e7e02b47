#include "shapes/pinned_kinds.h"

#include <gtest/gtest.h>

#include "support/pinned.h"

namespace batten {
namespace {

TEST(PinnedKinds, OfWhatLiesInThePolygonForMoreThanHalf) {
  Plane<std::int32_t> labels(40, 20);
  for (int y = 5; y < 15; ++y)
    for (int x = 0; x < 40; ++x) labels.at(x, y) = x < 10 ? 1 : x < 20 ? 2 : x < 30 ? 0 : 3;
  EXPECT_TRUE(pinned_kinds(labels, 4, {}).empty());
  Pin lines = testing::pin(Pin::Kind::drawn_as, {{0, 0}, {16, 0}, {16, 20}, {0, 20}});
  Pin shaded = testing::pin(Pin::Kind::drawn_as, {{0, 0}, {14, 0}, {14, 20}, {0, 20}});
  lines.drawn = Pin::Drawn::lines, shaded.drawn = Pin::Drawn::shaded;
  const auto both = pinned_kinds(labels, 4, {lines, shaded});
  ASSERT_EQ(both.size(), 4u);
  EXPECT_FALSE(both[0] || both[3]);
  EXPECT_EQ(both[1], Pin::Drawn::shaded) << "the later one";
  EXPECT_EQ(both[2], Pin::Drawn::lines);
}

}  // namespace
}  // namespace batten
