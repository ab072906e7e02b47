#include "judge/name_nodes.h"

#include <gtest/gtest.h>

#include "base/vec.h"
#include "support/drafts.h"

namespace batten {
namespace {

std::vector<Reason> reasons_of(Outline outline) {
  for (Node& n : outline.nodes) n.reason = Reason::added, n.smooth = false;  // what was there says nothing
  name_nodes(&outline);
  std::vector<Reason> out;
  for (const Node& n : outline.nodes) {
    EXPECT_EQ(n.smooth, n.reason != Reason::corner);
    out.push_back(n.reason);
  }
  return out;
}

TEST(NameNodes, CornersExtremesAndEndsOfStraights) {
  EXPECT_EQ(reasons_of(support::d_with_round_foot()),
            (std::vector<Reason>{Reason::corner, Reason::straight_end, Reason::extreme_right, Reason::extreme_bottom,
                                 Reason::corner}));
}

TEST(NameNodes, EachSideOfARound) {
  Outline round = support::circle({100, 100}, 50, 4, support::standard_handle(4));
  const auto reasons = reasons_of(round);
  for (std::size_t i = 0; i < 4; ++i) {
    const Point from = round.nodes[i].at - Point{100, 100};
    EXPECT_EQ(reasons[i], from.x > 25    ? Reason::extreme_right
                          : from.x < -25 ? Reason::extreme_left
                          : from.y < 0   ? Reason::extreme_top
                                         : Reason::extreme_bottom);
  }
  // Turned by 45 degrees no node is an extreme; reversed they are what they were.
  for (const Reason r : reasons_of(support::circle({100, 100}, 50, 4, support::standard_handle(4), 1, pi / 4)))
    EXPECT_EQ(r, Reason::added);
  Outline back = support::reversed(round);
  name_nodes(&back), name_nodes(&round);
  for (const Node& n : round.nodes)
    EXPECT_EQ(std::count_if(back.nodes.begin(), back.nodes.end(),
                            [&](const Node& m) { return m.at == n.at && m.reason == n.reason; }),
              1);
}

TEST(NameNodes, ALevelInflectionIsNoExtreme) {
  // A step: it runs level in the middle and goes on the same way.
  const Outline step = support::outline_from({{Point{0, 0}, {30, 0}, {60, 40}, {100, 40}},
                                              {Point{100, 40}, {140, 40}, {170, 80}, {200, 80}},
                                              {Point{200, 80}, {200, 80}, {0, 80}, {0, 80}},
                                              {Point{0, 80}, {0, 80}, {0, 0}, {0, 0}}});
  EXPECT_EQ(reasons_of(step)[1], Reason::added);
}

// The documented bound, corner_turn_deg: 10 degrees, common practice, no source.
TEST(NameNodes, ATurnIsACornerFromTheBoundOn) {
  for (const double deg : {0.0, 9.9, 10.1, 90.0}) {
    const Outline bent = support::polygon({{0, 0}, {100, 0}, Point{100, 0} + 100 * direction(radians(deg)), {50, 300}});
    EXPECT_NEAR(turn_deg_at(bent, 1), deg, 1e-9);
    EXPECT_EQ(reasons_of(bent)[1] == Reason::corner, deg > corner_turn_deg) << deg;
  }
}

}  // namespace
}  // namespace batten
