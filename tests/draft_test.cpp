#include "draft.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

/// A straight from (0, 0) to (30, 40), smooth into a curve to a corner at (90, 40), and a curve back.
DraftLoop mixed() {
  DraftLoop d;
  d.joints.resize(3), d.pieces.resize(3);
  d.joints[0].at = {0, 0}, d.joints[0].corner = true;
  d.joints[1].at = {30, 40}, d.joints[1].reason = Reason::straight_end;
  d.joints[2].at = {90, 40}, d.joints[2].corner = true;
  d.pieces[0].straight = true;
  d.pieces[1].h0 = 10, d.pieces[1].h1 = 5, d.pieces[1].a1 = 0;
  d.pieces[2].h0 = 8, d.pieces[2].h1 = 9, d.pieces[2].a0 = pi / 2, d.pieces[2].a1 = pi;
  return d;
}

TEST(Draft, AStraightGivesItsDirectionToASmoothNeighbour) {
  DraftLoop d = mixed();
  const Cubic c = cubic_of(d, 1);
  EXPECT_LT(distance(c[1], Point{36, 48}), 1e-12);  // 10 px on along 3-4-5
  EXPECT_LT(distance(c[2], Point{85, 40}), 1e-12);
  settle_angles(&d);
  EXPECT_NEAR(d.joints[1].angle, std::atan2(40, 30), 1e-12);
  EXPECT_NEAR(d.pieces[1].a0, std::atan2(40, 30), 1e-12);
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
