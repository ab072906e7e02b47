#include "base/closed_first.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

TEST(ClosedFirst, WhatNamesALoopFollowsIt) {
  Loops loops;
  for (const bool open : {true, false, true, false}) {
    Loop& loop = loops.loops.emplace_back();
    loop.open = open, loop.band_px = double(loops.loops.size());
  }
  loops.loops[0].end.on_loop = 1, loops.loops[2].start.on_loop = 0;
  loops.areas = {{{{0, false}, {2, true}}}};
  loops.runs_on = {{0, true, 2, false}};
  EXPECT_FALSE(closed_come_first(loops));
  const Loops ordered = closed_first(loops);
  EXPECT_TRUE(closed_come_first(ordered));
  const double bands[] = {2, 4, 1, 3};
  for (std::size_t k = 0; k < 4; ++k) EXPECT_EQ(ordered.loops[k].band_px, bands[k]);
  EXPECT_EQ(ordered.loops[2].end.on_loop, 0);
  EXPECT_EQ(ordered.loops[3].start.on_loop, 2);
  EXPECT_EQ(ordered.areas[0].parts[0].loop, 2);
  EXPECT_EQ(ordered.areas[0].parts[1].loop, 3);
  EXPECT_TRUE(ordered.areas[0].parts[1].reversed);
  EXPECT_EQ(ordered.runs_on[0].loop_a, 2);
  EXPECT_EQ(ordered.runs_on[0].loop_b, 3);
}

}  // namespace
}  // namespace batten
