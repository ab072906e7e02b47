#include <gtest/gtest.h>

#include "refine/joint_scalars.h"
#include "refine/solve_joint.h"
#include "support/drafts.h"
#include "support/letters.h"

namespace batten {
namespace {

// A flight of steps: sixteen nodes, level and vertical by turns.
Outline steps() {
  std::vector<Point> corners;
  for (int i = 0; i < 7; ++i) {
    corners.push_back({40. + 40 * i, 300. - 40 * i});
    corners.push_back({80. + 40 * i, 300. - 40 * i});
  }
  corners.push_back({320, 340});
  corners.push_back({40, 340});
  return support::polygon(corners);
}

struct Drawn {
  SpacedLoops loops;
  Draft draft;
  Drawn() {
    loops.loops.push_back(support::exact_loop(support::points_of(steps(), 0.25)));
    draft.loops.push_back(support::draft_of(loops.loops[0], steps()));
    for (DraftNode& j : draft.loops[0].nodes) j.at.y += 0.4;  // off their loop everywhere
  }
};

TEST(SolveTied, OnlyWhatIsFreedMoves) {
  Drawn d;
  const DraftLoop before = d.draft.loops[0];
  FreedNodes freed{std::vector<char>(before.size(), 0)};
  freed[0][4] = 1;
  ASSERT_TRUE(solve_tied(d.loops, {}, freed, {2}, {}, &d.draft));
  for (std::size_t i = 0; i < before.size(); ++i) {
    const Point was = before.nodes[i].at, now = d.draft.loops[0].nodes[i].at;
    // It and, of its neighbours, what the level and the vertical side between them bind to it.
    EXPECT_EQ(was.y != now.y, i == 4 || i == 5) << i;
    EXPECT_TRUE(i == 3 || i == 4 || was.x == now.x) << i;
  }
  EXPECT_NEAR(d.draft.loops[0].nodes[4].at.y, 220, 0.1) << "back on its loop";
}

TEST(SolveTied, WhatATieBindsMovesAlong) {
  Drawn d;
  const ScalarIndex index(d.draft);
  // The height of a step is tied to that of another far away.
  const Tie tie{{{index.of(0, Quantity::y, 4), 1},
                 {index.of(0, Quantity::y, 2), -1},
                 {index.of(0, Quantity::y, 12), -1},
                 {index.of(0, Quantity::y, 10), 1}}};
  FreedNodes freed{std::vector<char>(d.draft.loops[0].size(), 0)};
  freed[0][4] = 1;
  ASSERT_TRUE(solve_tied(d.loops, {tie}, freed, {2}, {}, &d.draft));
  const std::vector<DraftNode>& j = d.draft.loops[0].nodes;
  EXPECT_NEAR(j[4].at.y - j[2].at.y, j[12].at.y - j[10].at.y, 1e-9);
  EXPECT_NEAR(j[12].at.y, 60, 0.1);
  EXPECT_EQ(j[7].at.y, 180.4) << "between them nothing moves";
}

}  // namespace
}  // namespace batten
