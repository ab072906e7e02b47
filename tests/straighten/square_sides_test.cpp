// Curves and sides that become straights.
#include <gtest/gtest.h>

#include <cmath>
#include <tuple>

#include "straighten/straight_edits.h"
#include "support/straightening.h"

namespace batten {
namespace {

constexpr double left = 50, top = 50;

// The square end of a stroke at the left: a level side `side_px` long runs on into half a circle, and back.
Outline blunt(double side_px, double radius = 60) {
  constexpr double k = 0.5522847498;  // 4/3 (sqrt 2 - 1), the usual handle of a quarter circle
  const double bend = left + side_px, h = k * radius, bottom = top + 2 * radius;
  const Point ends[] = {{left, top}, {bend, top}, {bend + radius, top + radius}, {bend, bottom}, {left, bottom}};
  Outline o;
  o.nodes = {{ends[0], ends[0], ends[0], false, Reason::corner},
             {ends[1], ends[1], ends[1] + Point{h, 0}, true, Reason::straight_end},
             {ends[2] - Point{0, h}, ends[2], ends[2] + Point{0, h}, true, Reason::extreme_right},
             {ends[3] + Point{h, 0}, ends[3], ends[3], true, Reason::straight_end},
             {ends[4], ends[4], ends[4], false, Reason::corner}};
  return o;
}

using Sides = support::Straightening;

// A pencil line 6 px wide, known to 0.4 px; the corners of `drafted` are not to be trusted over 3 px.
Sides pencil(const Outline& drawn, const Outline& drafted) {
  Sides s = support::straightening(drawn, drafted);
  s.loop.band_px = s.loop.scale_px = 6, s.loop.sigma_px = 0.4, s.loop.correlation_px = 27;
  for (DraftNode& j : s.draft.nodes)
    if (j.corner) j.zone_px = 3;
  return s;
}

// What was drafted without knowing of the side: a node 6 px short of where the round begins, taken for its extreme.
Sides with_extreme(double side_px) {
  Outline drafted = blunt(side_px);
  const Point from{left, top}, to{left + side_px - 6, top};
  drafted.nodes[0].handle_after = from + Point{5, 0.2};
  drafted.nodes[1] = {to - Point{5, 0}, to, to + Point{36, 0}, true, Reason::extreme_top};
  Sides s = pencil(blunt(side_px), drafted);
  s.draft.nodes[1].angle_fixed = true;
  return s;
}

TEST(SquareSides, AShortCurveFromASquareEndBecomesAStraight) {
  Sides s = with_extreme(26);
  ASSERT_TRUE(straighten_side(s.context(), 0, false, &s));
  EXPECT_EQ(s.draft.size(), 5u) << "no node more";
  EXPECT_TRUE(s.draft.segments[0].straight && s.draft.segments[0].level);
  EXPECT_EQ(s.draft.nodes[0].at.y, s.draft.nodes[1].at.y);
  EXPECT_NEAR(s.draft.nodes[1].at.x, left + 26, 4) << "slides to where the round begins";
  ASSERT_EQ(s.edits.size(), 1u);
  EXPECT_FALSE(s.edits[0].vertical);
  EXPECT_LT(s.edits[0].moved_px, 0.3);
}

TEST(SquareSides, InACrotchItStaysACurve) {
  Sides s = with_extreme(26);
  EXPECT_FALSE(straighten_side(s.context(false), 0, false, &s));
  EXPECT_FALSE(s.draft.segments[0].straight);
}

// Drafted as a curve that sets out and arrives level, its ends `apart_px` off one line, in a crotch.
Sides with_flat_curve(double side_px, double apart_px) {
  Outline drafted = blunt(side_px);
  const Point from{left, top}, to{left + side_px, top + apart_px};
  drafted.nodes[0].handle_after = from + Point{side_px / 3, 0};
  drafted.nodes[1] = {to - Point{side_px / 3, 0}, to, to + Point{33, 0}, true, Reason::extreme_top};
  Sides s = pencil(blunt(side_px), drafted);
  s.draft.nodes[1].angle_fixed = true;
  return s;
}

TEST(SquareSides, ACurveThatHidesNoneIsAStraight) {
  Sides s = with_flat_curve(26, 0.3);
  ASSERT_TRUE(straighten_flat(s.context(false), 0, false, &s));
  EXPECT_EQ(s.draft.size(), 5u) << "no node more";
  EXPECT_TRUE(s.draft.segments[0].straight && s.draft.segments[0].level);
  EXPECT_EQ(s.draft.nodes[0].at.y, s.draft.nodes[1].at.y);
  ASSERT_EQ(s.edits.size(), 1u);
  EXPECT_LT(s.edits[0].moved_px, 0.3);
}

TEST(SquareSides, AStepThatPointsShowStaysACurve) {
  Sides s = with_flat_curve(26, 1.2);  // three times what a point can err
  EXPECT_FALSE(straighten_flat(s.context(), 0, false, &s));
  EXPECT_FALSE(s.draft.segments[0].straight);
}

// A wave: its ends lie level, but it sets out and arrives vertical.
TEST(SquareSides, ACurveAcrossTheAxisIsNoStraightAlongIt) {
  Sides s = with_flat_curve(40, 0);
  s.draft.segments[0].start.angle_rad = -pi / 2;
  s.draft.nodes[1].angle = -pi / 2;
  settle_angles(&s.draft);
  EXPECT_FALSE(straighten_flat(s.context(false), 0, false, &s));
}

TEST(SquareSides, OverLessThanThreeBandsNoCurveCanBeSeen) {
  Sides s = with_flat_curve(14, 0.1);
  EXPECT_FALSE(straighten_flat(s.context(), 0, false, &s));
}

// Drafted as one curve from the corner to the extreme: the upper side is missing altogether.
Sides as_one_curve(double side_px, double radius = 60) {
  Outline drafted = blunt(side_px, radius);
  drafted.nodes.erase(drafted.nodes.begin() + 1);
  drafted.nodes[0].handle_after = {left + 0.7 * side_px + 0.6 * radius, top};
  Sides s = pencil(blunt(side_px, radius), drafted);
  s.draft.segments[0].start.on_axis = true;
  s.draft.nodes[1].angle_fixed = true;
  return s;
}

TEST(SquareSides, ASideThatBendsLaterGetsItsNode) {
  Sides s = as_one_curve(40);
  ASSERT_TRUE(square_off(s.context(), 0, true, &s));
  EXPECT_EQ(s.draft.size(), 5u);
  std::size_t i = 0;
  while (i < s.draft.size() && !(s.draft.segments[i].level && s.draft.nodes[i].at.y < top + 1)) ++i;
  ASSERT_LT(i, s.draft.size());
  EXPECT_NEAR(s.draft.nodes[i].at.x, left, 0.5);
  EXPECT_NEAR(s.draft.nodes[s.draft.next(i)].at.x, left + 40, 6) << "where the round begins";
}

// Points known to 1 px only hide where a flat round begins: at the end of a stroke a run of that length is a straight,
// in a crotch it is not (square_off says how often in fonts); a round that begins at the corner is neither.
TEST(SquareSides, ALongSideOfASquareEndIsLikelierThanOneInACrotch) {
  constexpr double flat_px = 150;
  for (const auto& [side_px, ink_at_right, expected] :
       {std::tuple(10, true, true), {10, false, false}, {0, true, false}}) {
    Sides s = as_one_curve(side_px + 0.01, flat_px);
    s.loop.sigma_px = 1;
    EXPECT_EQ(square_off(s.context(ink_at_right), 0, true, &s), expected) << side_px << ink_at_right;
  }
}

TEST(SquareSides, AnArcThatBeginsAtTheCornerIsLeftAlone) {
  // No side at all: the half circle begins at the corner, along the axis.
  Sides s = as_one_curve(0.01);
  EXPECT_FALSE(square_off(s.context(), 0, true, &s));
  EXPECT_EQ(s.draft.size(), 4u);
}

}  // namespace
}  // namespace batten
