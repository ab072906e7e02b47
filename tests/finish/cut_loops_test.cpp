#include "finish/cut_loops.h"

#include <gtest/gtest.h>

#include "batten/measure.h"
#include "support/shapes.h"

namespace batten {
namespace {

TEST(CutLoops, TwoSidesThatPassOneAnotherMeetWhereTheyCross) {
  // The corner at (100, 0) overshot by 4 px on either side: 4 + 5.7 + 4 px round.
  for (std::size_t first = 0; first < 5; ++first) {
    Outline o = support::polygon({{0, 0}, {104, 0}, {100, -4}, {100, 80}, {0, 80}});
    std::rotate(o.nodes.begin(), o.nodes.begin() + std::ptrdiff_t(first), o.nodes.end());
    ASSERT_TRUE(crosses_itself(o));
    const Outline cut = without_small_loops(o, 20);
    EXPECT_FALSE(crosses_itself(cut));
    ASSERT_EQ(cut.nodes.size(), 4u);
    EXPECT_NEAR(signed_area_px2(cut), 100 * 80, 1e-6);
    EXPECT_EQ(without_small_loops(o, 10).nodes.size(), 5u) << "a longer loop is no slip";
  }
}

TEST(CutLoops, WhatDoesNotCrossStays) {
  const Outline o = support::circle({50, 50}, 30, 4, support::standard_handle(4));
  const Outline same = without_small_loops(o, 1000);
  ASSERT_EQ(same.nodes.size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_EQ(same.nodes[i].at, o.nodes[i].at);
}

}  // namespace
}  // namespace batten
