#include "network/clean_network.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"

namespace batten {
namespace {

void add_line(Point a, Point b, LineNetwork* net) {
  const int from = net->add_node(a), to = net->add_node(b);
  net->add_edge(from, to, straight_path(a, b));
}

double whole_length_px(const LineNetwork& net) {
  double out = 0;
  for (const int e : net.living()) out += net.length_px(e);
  return out;
}

TEST(CleanNetwork, TwoStrokesOfOneLineAreTrimmedWhereTheyOverlap) {
  LineNetwork net;
  add_line({0, 100}, {120, 100}, &net);
  add_line({80, 104}, {200, 104}, &net);
  trim_overlaps(5, &net);
  EXPECT_EQ(net.living().size(), 2u);
  EXPECT_NEAR(whole_length_px(net), 200, 12) << "they overlapped for 40 px";
}

TEST(CleanNetwork, AStrokeDrawnTwiceGoes) {
  LineNetwork net;
  add_line({0, 100}, {200, 100}, &net);
  add_line({60, 104}, {110, 104}, &net);
  trim_overlaps(5, &net);
  ASSERT_EQ(net.living().size(), 1u);
  EXPECT_NEAR(whole_length_px(net), 200, 1);
}

TEST(CleanNetwork, LinesThatMeetOrRunFartherApartStay) {
  LineNetwork net;
  add_line({0, 100}, {200, 100}, &net);
  add_line({0, 108}, {200, 108}, &net);   // 1.6 widths off
  add_line({100, 103}, {100, 10}, &net);  // ends on the first
  trim_overlaps(5, &net);
  EXPECT_EQ(net.living().size(), 3u);
  EXPECT_NEAR(whole_length_px(net), 493, 1);
}

TEST(CleanNetwork, HairsShorterThanTheLineIsWideGo) {
  LineNetwork net;
  const int left = net.add_node({0, 50}), middle = net.add_node({50, 50}), right = net.add_node({100, 50});
  net.add_edge(left, middle, straight_path({0, 50}, {50, 50}));
  net.add_edge(middle, right, straight_path({50, 50}, {100, 50}));
  const int hair = net.add_node({50, 44}), branch = net.add_node({50, 90});
  net.add_edge(middle, hair, straight_path({50, 50}, {50, 44}));
  LineDepth depth(101, 101, 4.f);  // a line 8 px wide everywhere
  remove_hairs(depth, &net);
  ASSERT_EQ(net.living().size(), 1u) << "and what it parted is one line again";
  const int cut = net.split(net.living().front(), 50);
  net.add_edge(cut, branch, straight_path({50, 50}, {50, 90}));
  remove_hairs(depth, &net);
  EXPECT_EQ(net.living().size(), 3u) << "a branch of 40 px is none";
}

TEST(CleanNetwork, TwoJunctionsWithinALineAreOne) {
  LineNetwork net;
  const int a = net.add_node({50, 50}), b = net.add_node({54, 50});
  net.add_edge(a, b, straight_path({50, 50}, {54, 50}));
  for (const auto& [node, far] : {std::pair(a, Point{0, 0}), std::pair(a, Point{0, 100}), std::pair(b, Point{100, 0}),
                                  std::pair(b, Point{100, 100})}) {
    const int end = net.add_node(far);
    net.add_edge(node, end, straight_path(net.nodes[node].at, far));
  }
  merge_junctions(LineDepth(101, 101, 4.f), &net);
  EXPECT_EQ(net.living().size(), 4u);
  EXPECT_EQ(net.degree(a), 4);
  EXPECT_EQ(net.nodes[a].at, (Point{52, 50}));
}

}  // namespace
}  // namespace batten
