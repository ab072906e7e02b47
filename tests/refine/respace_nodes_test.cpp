#include "refine/respace_nodes.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

DraftLoop ring(const SpacedLoop& loop, double radius, int nodes) {
  DraftLoop d = support::draft_of(loop, support::circle({0, 0}, radius, nodes, support::standard_handle(nodes)));
  for (DraftNode& j : d.nodes) j.reason = Reason::added;
  return d;
}

// Free nodes hold a circle with n = 2 up to R = 110 limits, with 3 up to 1298 (Dokken, Daehlen, Lyche, Morken, CAGD 7,
// 1990; Goldapp, CAGD 8, 1991).
TEST(RespaceNodes, DropsANodeWhereTheTableSaysItCanGo) {
  for (const auto& [radius, nodes, drops] :
       {std::tuple{100.0, 3, true}, {140.0, 3, false}, {600.0, 4, true}, {1400.0, 4, false}, {100.0, 2, false}}) {
    const SpacedLoop loop = support::exact_loop(support::circle_points({0, 0}, radius, 0.2), 1);
    DraftLoop d = ring(loop, radius, nodes);
    const std::stop_token stop;
    EXPECT_EQ(try_respaced_ring({loop, false, stop}, &d), drops) << radius << " with " << nodes;
    EXPECT_EQ(d.size(), std::size_t(nodes - drops));
    if (drops) {
      EXPECT_LT(support::off_circle_px(d, {0, 0}, radius), 1.02);
    }
  }
}

TEST(RespaceNodes, ARingWithACornerIsLeftAlone) {
  const SpacedLoop loop = support::exact_loop(support::circle_points({0, 0}, 50, 0.2), 1);
  DraftLoop d = ring(loop, 50, 5);
  d.nodes[2].corner = true;
  const std::stop_token stop;
  EXPECT_FALSE(try_respaced_ring({loop, false, stop}, &d));
  EXPECT_EQ(d.size(), 5u);
}

// A moon: a known smooth chain of `segments` cubics from one horn to the other, closed by one arc.
Outline moon(const std::vector<Cubic>& outer) {
  std::vector<Cubic> all = outer;
  const Point a = outer.back()[3], b = outer.front()[0];
  all.push_back({a, {a.x - 60, a.y - 20}, {b.x - 60, b.y + 20}, b});
  return support::outline_from(all);
}
// Three cubics with one tangent where they meet.
std::vector<Cubic> three() {
  return {{Point{100, 40}, {170, 20}, {260, 60}, {290, 130}},
          {Point{290, 130}, {310, 176.666}, {322, 244}, {280, 300}},
          {Point{280, 300}, {250, 340}, {150, 380}, {100, 340}}};
}

// Every cubic of the chain cut in two: what the chain was cut from is known to be enough.
TEST(RespaceNodes, AChainCutInSegmentsComesBackToAKnownCount) {
  const Outline truth = moon(three());
  const SpacedLoop loop = support::exact_loop(support::points_of(truth, 0.1), 1);
  std::vector<Cubic> cut;
  for (const Cubic& c : three()) {
    const auto [left, right] = split(c, 0.4);
    cut.push_back(left), cut.push_back(right);
  }
  DraftLoop d = support::draft_of(loop, moon(cut));
  for (DraftNode& j : d.nodes) j.reason = j.corner ? Reason::corner : Reason::added;
  ASSERT_EQ(d.size(), 7u);
  const std::stop_token stop;
  const EditContext c{loop, false, stop};
  FailedSpans failed;
  EXPECT_TRUE(try_respaced_spans(c, &d, &failed));
  EXPECT_LE(d.size(), 4u);
  EXPECT_LE(local_error(loop, d, Window::all(d)).max_px, loop.limit_px);
  EXPECT_FALSE(failed.spans.empty());
  const DraftLoop before = d;
  EXPECT_FALSE(try_respaced_spans(c, &d, &failed)) << "what failed is not tried again";
  EXPECT_EQ(d.size(), before.size());
}

TEST(RespaceNodes, WithoutACornerThereIsNoSpan) {
  const SpacedLoop loop = support::exact_loop(support::circle_points({0, 0}, 50, 0.2), 1);
  DraftLoop d = ring(loop, 50, 5);
  const std::stop_token stop;
  FailedSpans failed;
  EXPECT_FALSE(try_respaced_spans({loop, false, stop}, &d, &failed));
}

}  // namespace
}  // namespace batten
