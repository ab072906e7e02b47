#include "ink/extend_notches.h"

#include <gtest/gtest.h>

#include "base/plane_cv.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

// A notch that opens upwards, with walls 6 px wide whose middles start at x = 100 +- half on the upper edge and meet
// at (100, 130), or stay `apart_px` from each other there and are joined by a level line.
struct Notch {
  cv::Mat1b ink, wide;
  cv::Mat1f to_ink;
  Plane<std::int32_t> marks{200, 200};
};
Notch notch(double half, double apart_px) {
  PencilSheet sheet(200, 200);
  for (const double way : {-1., 1.}) sheet.line({100 + way * half, -10}, {100 + way * apart_px / 2, 130}, 6, 0.8);
  sheet.line({100 - apart_px / 2, 130}, {100 + apart_px / 2, 130}, 6, 0.8);
  Notch out;
  out.ink = as_mat(sheet.ink) > 0.3;
  cv::distanceTransform(out.ink == 0, out.to_ink, cv::DIST_L2, 5);
  for (int y = 0; y < 130; ++y)
    for (int x = int(100 - half); x < 100 + half; ++x) {
      const double wall = half + (apart_px / 2 - half) * (y + 10) / 140.;
      if (std::abs(x + 0.5 - 100) < wall && out.to_ink(y, x) > 0) out.marks.at(x, y) = 3;
    }
  out.wide = cv::Mat1b(200, 200, std::uint8_t(0));
  out.wide(cv::Rect(0, 0, 200, 30)) = 255;
  out.wide &= as_mat(out.marks) > 0;
  return out;
}

int last_row(const Plane<std::int32_t>& marks) {
  int last = -1;
  for (int y = 0; y < marks.height; ++y)
    for (int x = 0; x < marks.width; ++x)
      if (marks.at(x, y) > 0) last = y;
  return last;
}

TEST(ExtendNotches, ToWhereTheWallsMeetLessSixTenthsOfTheirWidth) {
  for (const double half : {25., 35., 45.}) {
    Notch n = notch(half, 0);
    const Plane<std::int32_t> before = n.marks;
    // The paper ends where half of its width is used up by half a wall, and half a pixel of its edge, on each side.
    EXPECT_NEAR(last_row(before), 130 - 3.5 * 140 / half, 4) << half;
    extend_notches(n.wide, n.to_ink, n.ink, 6, {}, &n.marks);
    EXPECT_NEAR(last_row(n.marks), 130 - 0.6 * 6, 2.5) << half;
    int added = 0;
    for (std::size_t i = 0; i < before.values.size(); ++i) {
      if (before.values[i] == n.marks.values[i]) continue;
      ++added;
      EXPECT_EQ(n.marks.values[i], 3);
    }
    EXPECT_LE(added, 1 + last_row(n.marks) - last_row(before));  // one pixel wide
  }
}

TEST(ExtendNotches, BluntEndsGoNoFartherThanTheirWall) {
  for (Notch n : {notch(35, 34), notch(30, 50), notch(30, 60)}) {
    const int before = last_row(n.marks);
    extend_notches(n.wide, n.to_ink, n.ink, 6, {}, &n.marks);
    EXPECT_LE(last_row(n.marks), before + 3);
  }
}

TEST(ExtendNotches, NotBeyondTheInk) {
  Notch n = notch(35, 0);
  n.ink(cv::Rect(0, 119, 200, 81)) = 0;  // the walls end early
  const int before = last_row(n.marks);
  extend_notches(n.wide, n.to_ink, n.ink, 6, {}, &n.marks);
  EXPECT_LE(last_row(n.marks), std::max(before, 119 - 3));
}

}  // namespace
}  // namespace batten
