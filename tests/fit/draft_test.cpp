#include "fit/draft.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

/// A straight from (0, 0) to (30, 40), smooth into a curve to a corner at (90, 40), and a curve back.
DraftLoop mixed() {
  DraftLoop d;
  d.nodes.resize(3), d.segments.resize(3);
  d.nodes[0].at = {0, 0}, d.nodes[0].corner = true;
  d.nodes[1].at = {30, 40}, d.nodes[1].reason = Reason::straight_end;
  d.nodes[2].at = {90, 40}, d.nodes[2].corner = true;
  d.segments[0].straight = true;
  d.segments[1].start.handle_px = 10, d.segments[1].end.handle_px = 5, d.segments[1].end.angle_rad = 0;
  d.segments[2].start.handle_px = 8, d.segments[2].end.handle_px = 9, d.segments[2].start.angle_rad = pi / 2,
  d.segments[2].end.angle_rad = pi;
  return d;
}

TEST(Draft, AStraightGivesItsDirectionToASmoothNeighbour) {
  DraftLoop d = mixed();
  const Cubic c = cubic_of(d, 1);
  EXPECT_LT(distance(c[1], Point{36, 48}), 1e-12);  // 10 px on along 3-4-5
  EXPECT_LT(distance(c[2], Point{85, 40}), 1e-12);
  settle_angles(&d);
  EXPECT_NEAR(d.nodes[1].angle, std::atan2(40, 30), 1e-12);
  EXPECT_NEAR(d.segments[1].start.angle_rad, std::atan2(40, 30), 1e-12);
}

TEST(Draft, ACornerKeepsADirectionOnEitherSide) {
  const DraftLoop d = mixed();
  EXPECT_LT(distance(cubic_of(d, 2)[1], Point{90, 48}), 1e-12);
  EXPECT_LT(distance(cubic_of(d, 2)[2], Point{9, 0}), 1e-12);
}

TEST(Draft, AStraightHasNoHandles) {
  const Cubic c = cubic_of(mixed(), 0);
  EXPECT_EQ(c[1], c[0]);
  EXPECT_EQ(c[2], c[3]);
}

TEST(Draft, NeighboursWrapRound) {
  const DraftLoop d = mixed();
  EXPECT_EQ(d.next(2), 0u);
  EXPECT_EQ(d.previous(0), 2u);
}

}  // namespace
}  // namespace batten
