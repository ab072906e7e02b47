#include "refine/untangle.h"

#include <gtest/gtest.h>

#include "batten/measure.h"
#include "support/drafts.h"
#include "support/random.h"

namespace batten {
namespace {

DraftLoop draft_with_long_handles(const SpacedLoop& loop) {
  DraftLoop d = support::draft_of(loop, support::polygon({{50, 50}, {250, 50}, {250, 80}, {50, 80}}));
  for (std::size_t i : {0u, 2u}) {  // both long sides bulge over the other
    d.segments[i].straight = false;
    d.segments[i].start.handle_px = d.segments[i].end.handle_px = 90;
    d.segments[i].start.angle_rad = i == 0 ? 0.9 : pi + 0.9, d.segments[i].end.angle_rad = i == 0 ? -0.9 : pi - 0.9;
  }
  settle_angles(&d);
  return d;
}

TEST(Crossings, ABowTieCrossesOnceAndABoxNever) {
  const support::Polyline bow = {{0, 0}, {100, 100}, {100, 0}, {0, 100}},
                          box = {{0, 0}, {100, 0}, {100, 100}, {0, 100}};
  const auto crossed = crossings_of(support::draft_of(support::exact_loop(bow), support::polygon(bow)));
  ASSERT_EQ(crossed.size(), 1u);
  EXPECT_EQ(crossed[0].first, 0u);
  EXPECT_EQ(crossed[0].second, 2u);
  EXPECT_TRUE(crossings_of(support::draft_of(support::exact_loop(box), support::polygon(box))).empty());
}

TEST(Crossings, ACubicThatLoopsCrossesItself) {
  const Outline o = support::outline_from(
      {{Point{0, 0}, {200, 100}, {-100, 100}, {100, 0}}, {Point{100, 0}, {100, 0}, {0, 0}, {0, 0}}});
  const auto found = crossings_of(support::draft_of(support::exact_loop(support::points_of(o, 0.5)), o));
  ASSERT_FALSE(found.empty());
  EXPECT_EQ(found[0].first, 0u);
  EXPECT_EQ(found[0].second, 0u);
}

// The public measure shares no code with the search here.
TEST(Crossings, AgreeWithTheMeasure) {
  support::Random r("Crossings", "measure");
  int crossed = 0;
  for (int k = 0; k < 200; ++k) {
    Outline o = support::circle({100, 100}, 60, 4, support::standard_handle(4));
    for (Node& n : o.nodes) {
      n.handle_before = n.handle_before + Point{r.uniform(-70, 70), r.uniform(-70, 70)};
      n.handle_after = n.handle_after + Point{r.uniform(-70, 70), r.uniform(-70, 70)};
      n.smooth = false;
    }
    const DraftLoop d = support::draft_of(support::exact_loop(support::points_of(o, 0.5)), o);
    const bool crosses = crosses_itself(o, 0.1);
    if (crosses != crosses_itself(o, 0.005)) continue;  // by less than either flattening is good for
    EXPECT_EQ(!crossings_of(d).empty(), crosses) << k;
    crossed += crosses;
  }
  EXPECT_GT(crossed, 40);
  EXPECT_LT(crossed, 160);
}

TEST(Untangle, PlainerHandlesMendWhatLongOnesCrossed) {
  SpacedLoop loop = support::exact_loop({{50, 50}, {250, 50}, {250, 80}, {50, 80}});
  DraftLoop d = draft_with_long_handles(loop);
  ASSERT_FALSE(crossings_of(d).empty());
  const std::stop_token stop;
  EXPECT_TRUE(untangle({loop, true, stop}, &d));
  EXPECT_TRUE(crossings_of(d).empty());
  EXPECT_LT(local_error(loop, d, Window::all(d)).max_px, 2 * loop.limit_px);
}

TEST(Untangle, LeavesASoundOutlineAlone) {
  const Outline o = support::circle({100, 100}, 60, 4, support::standard_handle(4));
  const SpacedLoop loop = support::exact_loop(support::points_of(o, 0.2));
  DraftLoop d = support::draft_of(loop, o);
  const std::stop_token stop;
  EXPECT_FALSE(untangle({loop, true, stop}, &d));
}

}  // namespace
}  // namespace batten
