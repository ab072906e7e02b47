// join_straight() on sides that were drafted in two pieces.
#include <gtest/gtest.h>

#include "straighten/straight_edits.h"
#include "support/straightening.h"

namespace batten {
namespace {

constexpr double left = 40, right = 240, top = 60, bottom = 160;

Node corner(double x, double y) { return {{x, y}, {x, y}, {x, y}, false, Reason::corner}; }

// A rectangle whose upper side was drafted as two level straights with a curve of `gap_px` between them, `step_px`
// apart.
Outline split(double gap_px, double step_px) {
  const double from = 100, to = from + gap_px;
  Outline o;
  o.nodes = {corner(left, top),
             {{from, top}, {from, top}, {from + gap_px / 3, top}, true, Reason::straight_end},
             {{to - gap_px / 3, top + step_px}, {to, top + step_px}, {to, top + step_px}, true, Reason::straight_end},
             corner(right, top + step_px),
             corner(right, bottom),
             corner(left, bottom)};
  return o;
}

using Joined = support::Straightening;

Joined joined(const Outline& drafted, double drawn_step_px, bool holds = true) {
  Joined j = support::straightening(split(20, drawn_step_px), drafted);
  for (std::size_t i = 0; i < j.draft.size(); ++i) join_straight(j.context(true, holds), i, &j);
  return j;
}

// Nodes on a straight are needless: common practice, no source.
TEST(JoinStraights, OneSideIsOneStraight) {
  for (const double gap_px : {20.0, 60.0}) {
    const Joined j = joined(split(gap_px, 0.4), 0.4);
    ASSERT_EQ(j.draft.size(), 4u);
    ASSERT_EQ(j.edits.size(), 1u);
    EXPECT_FALSE(j.edits[0].vertical);
    EXPECT_LT(j.edits[0].moved_px, 0.5);
    EXPECT_TRUE(j.draft.segments[0].straight && j.draft.segments[0].level);
    EXPECT_EQ(j.draft.nodes[0].at.y, j.draft.nodes[1].at.y);
    EXPECT_NEAR(distance(j.draft.nodes[0].at, j.draft.nodes[1].at), right - left, 0.5);
  }
}

TEST(JoinStraights, AStepThatWasDrawnStays) {
  const Joined j = joined(split(20, 6), 6);
  EXPECT_EQ(j.draft.size(), 6u);
  EXPECT_TRUE(j.edits.empty());
}

TEST(JoinStraights, ALongCurveBetweenStaysACurve) {
  EXPECT_EQ(joined(split(120, 0), 0).draft.size(), 6u);  // longer than the straights beside it, 60 and 20 px
}

TEST(JoinStraights, WhatDoesNotHoldIsNotDone) {
  const Joined j = joined(split(20, 0.4), 0.4, false);
  EXPECT_EQ(j.draft.size(), 6u);
  EXPECT_TRUE(j.edits.empty());
}

}  // namespace
}  // namespace batten
