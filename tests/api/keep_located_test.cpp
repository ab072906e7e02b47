#include "api/keep_located.h"

#include <gtest/gtest.h>

#include "support/pinned.h"
#include "support/shapes.h"

namespace batten {
namespace {

Loop ring(Point centre, double radius) {
  Loop loop;
  loop.points = support::circle_points(centre, radius, 1);
  return loop;
}

TEST(KeepLocated, LinesThatAPinMovedALittleStayWhereTheyWere) {
  Loops before, after;
  before.loops = {ring({100, 100}, 50), ring({300, 100}, 50)};
  after.loops = {ring({300.4, 100.2}, 50.1), ring({100.3, 100}, 50)};  // in another order, a little aside
  const std::vector<Pin> pins = {testing::pin(Pin::Kind::paper, {{40, 90}, {60, 90}, {60, 110}, {40, 110}})};
  const Loops kept = keep_located(after, before, pins);
  EXPECT_EQ(kept.loops[0].points, before.loops[1].points);
  EXPECT_EQ(kept.loops[1].points, after.loops[1].points) << "it runs through the region";
}

TEST(KeepLocated, WhatWasNotThereBeforeIsNew) {
  Loops before, after;
  before.loops = {ring({100, 100}, 50)};
  after.loops = {ring({100, 100}, 54), ring({300, 100}, 50)};
  const Loops kept = keep_located(after, before, {testing::pin(Pin::Kind::close_gap, {{0, 0}, {5, 5}})});
  for (std::size_t i = 0; i < 2; ++i) EXPECT_EQ(kept.loops[i].points, after.loops[i].points);
}

}  // namespace
}  // namespace batten
