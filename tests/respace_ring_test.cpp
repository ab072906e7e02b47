#include "respace_ring.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

DraftLoop ring(const SpacedLoop& loop, double radius, int nodes) {
  DraftLoop d = support::draft_of(loop, support::circle({0, 0}, radius, nodes, support::standard_handle(nodes)));
  for (Joint& j : d.joints) j.reason = Reason::added;
  return d;
}

// Free nodes hold a circle with n = 2 up to R = 110 limits, with 3 up to 1298 (Dokken, Daehlen, Lyche, Morken, CAGD 7,
// 1990; Goldapp, CAGD 8, 1991).
TEST(RespaceRing, DropsANodeWhereTheTableSaysItCanGo) {
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

TEST(RespaceRing, ARingWithACornerIsLeftAlone) {
  const SpacedLoop loop = support::exact_loop(support::circle_points({0, 0}, 50, 0.2), 1);
  DraftLoop d = ring(loop, 50, 5);
  d.joints[2].corner = true;
  const std::stop_token stop;
  EXPECT_FALSE(try_respaced_ring({loop, false, stop}, &d));
  EXPECT_EQ(d.size(), 5u);
}

}  // namespace
}  // namespace batten
