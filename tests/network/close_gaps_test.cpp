#include "network/close_gaps.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"

namespace batten {
namespace {

LineNetwork lines(const std::vector<std::pair<Point, Point>>& drawn) {
  LineNetwork net;
  for (const auto& [a, b] : drawn) {
    const int from = net.add_node(a), to = net.add_node(b);
    net.add_edge(from, to, straight_path(a, b));
  }
  return net;
}

TEST(CloseGaps, EndsThatFaceEachOtherAreJoined) {
  LineNetwork net = lines({{{0, 50}, {100, 50}}, {{112, 51}, {200, 51}}});
  EXPECT_EQ(close_gaps(5, &net), 1);
  EXPECT_EQ(net.living().size(), 1u);
}

TEST(CloseGaps, ACornerIsClosedWhereBothRunOn) {
  LineNetwork net = lines({{{0, 50}, {92, 50}}, {{100, 58}, {100, 160}}});
  EXPECT_EQ(close_gaps(5, &net), 1);
  ASSERT_EQ(net.living().size(), 1u);
  double nearest_px = 1e9;
  for (const Point p : net.edges[net.living().front()].points)
    nearest_px = std::min(nearest_px, distance(p, {100, 50}));
  EXPECT_LT(nearest_px, 3);
}

TEST(CloseGaps, AnEndThatStopsShortOfALineReachesIt) {
  LineNetwork net = lines({{{0, 50}, {200, 50}}, {{100, 60}, {100, 160}}});
  EXPECT_EQ(close_gaps(5, &net), 1);
  int junctions = 0;
  for (std::size_t n = 0; n < net.nodes.size(); ++n) junctions += net.degree(int(n)) == 3;
  EXPECT_EQ(junctions, 1);
}

TEST(CloseGaps, LongSidesOnOneLineAreJoinedAcrossAWideGapAndDashesAreNot) {
  LineNetwork side = lines({{{0, 50}, {400, 50}}, {{500, 51}, {900, 51}}});
  EXPECT_EQ(close_gaps(5, &side), 1);
  LineNetwork dashes = lines({{{0, 50}, {30, 50}}, {{55, 50}, {85, 50}}, {{110, 50}, {140, 50}}});
  EXPECT_EQ(close_gaps(5, &dashes), 0);
}

TEST(CloseGaps, LinesThatPassOneAnotherStayApart) {
  LineNetwork net = lines({{{0, 50}, {100, 50}}, {{110, 80}, {200, 80}}, {{60, 100}, {60, 200}}});
  EXPECT_EQ(close_gaps(5, &net), 0);
  EXPECT_EQ(net.living().size(), 3u);
}

}  // namespace
}  // namespace batten
