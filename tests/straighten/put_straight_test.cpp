#include "straighten/put_straight.h"

#include <gtest/gtest.h>

#include "support/drafts.h"
#include "support/letters.h"

namespace batten {
namespace {

constexpr double width_px = 200, height_px = 100;

// A rectangle known to 0.4 px whose errors are alike over 27 px, and its draft: the upper side, the right one, ...
struct Drawn {
  SpacedLoop loop;
  DraftLoop draft;
};

Drawn drawn() {
  const Outline o =
      support::polygon({{40, 60}, {40 + width_px, 60}, {40 + width_px, 60 + height_px}, {40, 60 + height_px}});
  Drawn d{support::exact_loop(support::points_of(o, 0.25), 2), {}};
  d.loop.sigma_px = 0.4, d.loop.correlation_px = 27;
  d.draft = support::draft_of(d.loop, o);
  return d;
}

// The lower side `off_px` from where it was drawn.
DraftLoop with_lower_side_off(const Drawn& d, double off_px) {
  DraftLoop out = d.draft;
  for (const std::size_t i : {2, 3}) out.nodes[i].at.y += off_px;
  return out;
}

// Akaike's criterion (1974): a number is worth two units of chi squared. A side of length L that lies d off has
// d^2 L / (2 * 27 * 0.4^2), a point counted for its share of a correlation length on either side.
TEST(PutStraight, TheRestMayLieWorseByThePriceOfOneNumber) {
  const Drawn d = drawn();
  const double off_px = std::sqrt(2 * 2 * 27 * 0.4 * 0.4 / width_px);
  EXPECT_TRUE(rest_holds(d.loop, d.draft, with_lower_side_off(d, 0.9 * off_px), 0));
  EXPECT_FALSE(rest_holds(d.loop, d.draft, with_lower_side_off(d, 1.2 * off_px), 0));
}

TEST(PutStraight, TheStraightItselfIsNotCounted) {
  const Drawn d = drawn();
  EXPECT_TRUE(rest_holds(d.loop, d.draft, with_lower_side_off(d, 1.5), 2));
}

TEST(PutStraight, WhatWasOffBeforeMayStayOff) {
  const Drawn d = drawn();
  const DraftLoop off = with_lower_side_off(d, 1.5);
  EXPECT_TRUE(rest_holds(d.loop, off, off, 0));
}

}  // namespace
}  // namespace batten
