#include "shapes/join_necks.h"

#include <gtest/gtest.h>

#include "support/landscape.h"

namespace batten {
namespace {

using testing::cells_of;
using testing::heights_of;
using testing::number_of_labels;
using testing::within;

// Two insides 40 px high with paper between them, where a band of dark ink (sd 2 px, 4.7 px at half its height) links
// them lengthwise at y = 50.
struct Necked {
  int length_px = 12;
  double darkness = 1.3;
  double sd_px = 2;
  bool touching = false;  // a far corner of the two insides meets as well

  std::size_t left() const {
    const int left = 40, right = 40 + length_px;
    const HeightMap heights = heights_of(140, 100, [&](int x, int y) {
      return x < left || x >= right ? 0 : darkness * std::exp(-0.5 * (y - 50) * (y - 50) / (sd_px * sd_px));
    });
    Cells cells = cells_of(140, 100, 3, [&](int x, int y) {
      if (touching && within(x, y, {left, 88, length_px, 3})) return 1;
      if (within(x, y, {10, 30, 30, 61})) return 1;
      return within(x, y, {right, 30, 30, 61}) ? 2 : 0;
    });
    CellMap map{std::move(cells), {true, false, false}, std::vector<std::map<int, Border>>(3)};
    if (touching) map.borders[1][2] = map.borders[2][1] = {{1.f, 1.f, 1.f}, 1.f};
    join_necks(heights, {0, 1, 1}, {}, &map);
    if (number_of_labels(map.cells) == 2u) {
      EXPECT_EQ(map.cells.labels.at(20, 50), map.cells.labels.at(right + 10, 50));
      EXPECT_EQ(map.cells.labels.at(left + length_px / 2, 50), map.cells.labels.at(20, 50)) << "the link belongs to it";
      EXPECT_EQ(map.cells.labels.at(left + length_px / 2, 56), 0) << "it is narrow";
    }
    return number_of_labels(map.cells);
  }
};

TEST(JoinNecks, TwoLinesFusedLengthwiseJoinWhatTheyPart) {
  EXPECT_EQ(Necked{}.left(), 2u);
  EXPECT_EQ(Necked{.darkness = 1.05}.left(), 2u);
}

TEST(JoinNecks, APaleLinkJoinsNothing) { EXPECT_EQ(Necked{.darkness = 0.9}.left(), 3u); }

TEST(JoinNecks, ALinkOverThreeBandsLongJoinsNothing) {
  EXPECT_EQ(Necked{.length_px = 16}.left(), 2u);
  EXPECT_EQ(Necked{.length_px = 24}.left(), 3u);
}

TEST(JoinNecks, AWallThatIsCrossedJoinsNothing) { EXPECT_EQ(Necked{.sd_px = 8}.left(), 3u); }

TEST(JoinNecks, InsidesThatTouchAreLeftToTheirBorder) { EXPECT_EQ(Necked{.touching = true}.left(), 3u); }

}  // namespace
}  // namespace batten
