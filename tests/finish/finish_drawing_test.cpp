#include "finish/finish_drawing.h"

#include <gtest/gtest.h>

#include "base/nesting.h"
#include "batten/measure.h"
#include "support/drafts.h"

namespace batten {
namespace {

Drawing finished(const std::vector<Outline>& outlines) {
  SpacedLoops loops;
  Draft draft;
  for (const Outline& o : outlines) {
    loops.loops.push_back(support::exact_loop(support::points_of(o, 0.25)));
    draft.loops.push_back(support::draft_of(loops.loops.back(), o));
  }
  return finish_drawing(loops, draft, {{120, 0.01}});
}

Outline ring(Point centre, double radius) { return support::circle(centre, radius, 4, support::standard_handle(4)); }

// Common practice, no source: outer outlines clockwise on screen, their counters the other way, islands like outer
// ones.
TEST(FinishDrawing, NestingAndDirectionByDepth) {
  const Outline outer = ring({200, 200}, 150), counter = ring({200, 200}, 90), island = ring({210, 200}, 30),
                other = ring({450, 200}, 40);
  for (const bool turned : {false, true}) {
    const auto drawn = [&](const Outline& o) { return turned ? support::reversed(o) : o; };
    const Drawing d = finished({drawn(counter), drawn(outer), drawn(island), drawn(other)});
    ASSERT_EQ(d.outlines.size(), 4u);
    EXPECT_EQ(d.outlines[0].parent, 1);
    EXPECT_EQ(d.outlines[1].parent, -1);
    EXPECT_EQ(d.outlines[2].parent, 0);
    EXPECT_EQ(d.outlines[3].parent, -1);
    EXPECT_LT(signed_area_px2(d.outlines[0]), 0);
    for (std::size_t i : {1u, 2u, 3u}) EXPECT_GT(signed_area_px2(d.outlines[i]), 0) << i;
    EXPECT_NEAR(signed_area_px2(d.outlines[1]), pi * 150 * 150, 0.001 * pi * 150 * 150);
    EXPECT_EQ(d.guides.size(), 1u);
  }
}

// Common practice, no source: an outline starts at its lowest corner, the leftmost of several.
TEST(FinishDrawing, StartsAtTheLowestCorner) {
  const Drawing box = finished({support::polygon({{20, 20}, {180, 20}, {180, 120}, {20, 121}})});
  EXPECT_EQ(box.outlines[0].nodes[0].at, (Point{20, 121}));
  const Drawing flag = finished({support::polygon({{20, 20}, {100, 20}, {140, 190}, {60, 80}})});
  EXPECT_EQ(flag.outlines[0].nodes[0].at, (Point{140, 190}));
  const Drawing round = finished({ring({100, 100}, 50)});
  EXPECT_NEAR(round.outlines[0].nodes[0].at.y, 150, 1e-9) << "without corners: the lowest extreme";
}

TEST(FinishDrawing, TurningAnOutlineRoundKeepsItsShape) {
  Outline o = support::outline_from({{Point{60, 40}, {120, 10}, {200, 30}, {220, 90}},
                                     {Point{220, 90}, {220, 90}, {60, 160}, {60, 160}},
                                     {Point{60, 160}, {20, 120}, {40, 60}, {60, 40}}});
  const Drawing one = finished({o}), two = finished({support::reversed(o)});
  ASSERT_EQ(one.outlines[0].nodes.size(), two.outlines[0].nodes.size());
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t k = 0; k < 4; ++k)
      EXPECT_LT(distance(one.outlines[0].segment(i)[k], two.outlines[0].segment(i)[k]), 1e-9);
}

TEST(FinishDrawing, HandlesOnAnAxisAreExact) {
  SpacedLoop loop = support::exact_loop(support::circle_points({100, 100}, 50, 0.2));
  DraftLoop d = support::draft_of(loop, ring({100, 100}, 50));
  for (DraftNode& j : d.nodes) j.angle_fixed = true, j.at.x += 0.1 / 3;  // numbers that are no round binary ones
  const Drawing out = finish_drawing({{loop}}, {{d}}, {});
  for (const Node& n : out.outlines[0].nodes) {
    const bool level = std::abs(n.handle_after.x - n.at.x) > 1;
    EXPECT_EQ(level ? n.handle_after.y : n.handle_after.x, level ? n.at.y : n.at.x);
    EXPECT_EQ(level ? n.handle_before.y : n.handle_before.x, level ? n.at.y : n.at.x);
  }
}

TEST(Nesting, TheSmallestThatHoldsIt) {
  const auto box = [](double x, double y, double side) {
    return std::vector<Point>{{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}};
  };
  const std::vector<int> parent =
      nesting({box(10, 10, 5), box(0, 0, 100), box(5, 5, 50), box(60, 60, 10), box(200, 0, 30)});
  EXPECT_EQ(parent, (std::vector<int>{2, -1, 1, 1, -1}));
  // Within the other's box but outside the other: the notch of an L.
  EXPECT_EQ(nesting({box(60, 10, 20), {{0, 0}, {40, 0}, {40, 60}, {100, 60}, {100, 100}, {0, 100}}}),
            (std::vector<int>{-1, -1}));
}

}  // namespace
}  // namespace batten
