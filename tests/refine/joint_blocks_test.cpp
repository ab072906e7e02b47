#include "refine/joint_blocks.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

TEST(JointBlocks, LevelAndVerticalStraightsShareACoordinate) {
  const support::RoundFoot m;
  JointBlocks blocks(m.draft, {});
  for (std::size_t i = 0; i < m.draft.size(); ++i) {
    const std::size_t e = m.draft.next(i);
    EXPECT_EQ(blocks.block_of(Quantity::x, i) == blocks.block_of(Quantity::x, e), m.draft.segments[i].vertical) << i;
    EXPECT_EQ(blocks.block_of(Quantity::y, i) == blocks.block_of(Quantity::y, e), m.draft.segments[i].level) << i;
  }
}

TEST(JointBlocks, WhatComesBackIsWhatWentIn) {
  const support::RoundFoot m;
  const std::vector<char> all;
  JointBlocks blocks(m.draft, all);
  DraftLoop out = m.draft;
  *blocks.block_of(Quantity::x, 2) += 1.5;
  blocks.read_back(&out);
  for (std::size_t i = 0; i < m.draft.size(); ++i)
    for (const Quantity q : {Quantity::x, Quantity::y, Quantity::h0, Quantity::h1})
      EXPECT_NEAR(value_of(out, q, i), value_of(m.draft, q, i) + (q == Quantity::x && i == 2 ? 1.5 : 0), 1e-12) << i;
}

TEST(JointBlocks, OnlyWhatIsFreedHasABlockOfItsOwn) {
  const support::RoundFoot m;
  std::vector<char> freed(m.draft.size(), 0);
  freed[2] = 1;
  JointBlocks blocks(m.draft, freed);
  EXPECT_EQ(blocks.concerned(), (std::vector<std::size_t>{1, 2}));  // the node, and whose segment reaches it
  EXPECT_NE(blocks.slot_of(Quantity::x, 2).block, nullptr);
  EXPECT_EQ(blocks.slot_of(Quantity::x, 4).block, nullptr);
  EXPECT_EQ(blocks.slot_of(Quantity::x, 4).value, m.draft.nodes[4].at.x);
  EXPECT_EQ(blocks.slot_of(Quantity::angle, 3).block, nullptr);
  EXPECT_NE(blocks.slot_of(Quantity::h0, 2).block, nullptr);
}

// Both ends of a vertical straight share x: if one of them stays, so does x.
TEST(JointBlocks, ASharedCoordinateMovesOnlyIfAllItsNodesDo) {
  const support::RoundFoot m;
  std::size_t vertical = 0;
  while (!m.draft.segments[vertical].vertical) ++vertical;
  std::vector<char> freed(m.draft.size(), 0);
  freed[vertical] = 1;
  JointBlocks one(m.draft, freed);
  EXPECT_EQ(one.slot_of(Quantity::x, vertical).block, nullptr);
  EXPECT_NE(one.slot_of(Quantity::y, vertical).block, nullptr);
  freed[m.draft.next(vertical)] = 1;
  JointBlocks both(m.draft, freed);
  EXPECT_NE(both.slot_of(Quantity::x, vertical).block, nullptr);
}

TEST(JointBlocks, NotANumberIsSeen) {
  support::RoundFoot m;
  EXPECT_TRUE(JointBlocks(m.draft, {}).all_finite());
  m.draft.segments[1].start.handle_px = std::nan("");
  EXPECT_FALSE(JointBlocks(m.draft, {}).all_finite());
}

}  // namespace
}  // namespace batten
