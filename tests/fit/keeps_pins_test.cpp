#include "fit/keeps_pins.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

// A ring of four nodes on a loop 400 px long, the first of them pinned, its first segment a pinned straight.
struct Ring {
  SpacedLoop loop;
  DraftLoop draft;
  Ring() {
    for (int i = 0; i < 400; ++i) loop.curve.points.push_back({double(i), 0});
    loop.pins.nodes = {{0, {0, 0}, true}};
    loop.pins.straights = {{0, 100}};
    loop.pins.bare = {{150, 160}};
    loop.pins.smooth = {{290, 310}};
    for (int i = 0; i < 4; ++i) {
      DraftNode node;
      node.at = {100.0 * i, 0}, node.arc = 100.0 * i;
      draft.nodes.push_back(node), draft.segments.push_back({});
    }
    draft.nodes[0].pin = 0, draft.nodes[0].fixed_x = draft.nodes[0].fixed_y = true;
    draft.segments[0].straight = true, draft.segments[0].pin = 0;
  }
  bool keeps(const DraftLoop& after) const { return keeps_pins(loop, draft, after); }
};

TEST(KeepsPins, WhatIsNotPinnedMayMove) {
  const Ring r;
  DraftLoop after = r.draft;
  EXPECT_TRUE(r.keeps(after));
  after.nodes[2].at.y = 30, after.nodes[3].corner = false;
  EXPECT_TRUE(r.keeps(after));
  remove_node(&after, 2);
  EXPECT_TRUE(r.keeps(after));
}

TEST(KeepsPins, APinnedNodeStaysWhatAndWhereItIs) {
  const Ring r;
  DraftLoop moved = r.draft, turned = r.draft, gone = r.draft;
  moved.nodes[0].at.x += 0.01;
  turned.nodes[0].corner = true;
  gone.nodes[0].pin = -1;
  EXPECT_FALSE(r.keeps(moved) || r.keeps(turned) || r.keeps(gone));
}

TEST(KeepsPins, APinnedStraightStaysOneAndAboutAsLong) {
  const Ring r;
  DraftLoop bent = r.draft, cut = r.draft, shorter = r.draft;
  make_cubic(&bent, 0);
  cut.segments[0].pin = -1;
  shorter.nodes[1].at.x = 70;
  EXPECT_FALSE(r.keeps(bent) || r.keeps(cut) || r.keeps(shorter));
  DraftLoop trimmed = r.draft;
  trimmed.nodes[1].at.x = 90;
  EXPECT_TRUE(r.keeps(trimmed));
}

TEST(KeepsPins, NoNodeAndNoCornerWhereNoneMayBe) {
  const Ring r;
  DraftLoop node = r.draft, corner = r.draft;
  node.nodes[1].arc = 155;
  corner.nodes[3].corner = true;
  EXPECT_FALSE(r.keeps(node));
  EXPECT_FALSE(r.keeps(corner));
}

TEST(KeepsPins, AnEditThatSpoilsOneIsTakenBack) {
  const Ring r;
  DraftLoop d = r.draft;
  EXPECT_FALSE(within_pins(r.loop, &d, [&] { return d.nodes[0].at.x = 50, true; }));
  EXPECT_EQ(d.nodes[0].at.x, 0);
  EXPECT_TRUE(within_pins(r.loop, &d, [&] { return d.nodes[2].at.x = 210, true; }));
  EXPECT_EQ(d.nodes[2].at.x, 210);
}

}  // namespace
}  // namespace batten
