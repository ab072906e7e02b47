// One cubic to a stretch, and the fewest where one does not hold it. Counts against brute force:
// minimise_segments_test.
#include "minimise/split_segment.h"

#include <gtest/gtest.h>

#include "fit/segment_data.h"
#include "minimise/fit_segment.h"
#include "support/drafts.h"

namespace batten {
namespace {

TEST(FitSegment, FindsTheCubicThatMadeThePoints) {
  support::RoundFoot m;
  const Cubic truth = cubic_of(m.draft, 3);  // from a smooth node to a corner
  DraftSegment& foot = m.draft.segments[3];
  foot.start.handle_px *= 0.5, foot.end.handle_px *= 1.4, foot.end.angle_rad += 0.2;
  EXPECT_LT(fit_segment(m.loop, &m.draft, 3), 0.05);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_LT(distance(cubic_of(m.draft, 3)[i], truth[i]), 2.5) << i;
}

TEST(FitSegment, ADirectionOnAnAxisStays) {
  support::RoundFoot m;
  DraftSegment& foot = m.draft.segments[3];
  foot.end.angle_rad = -pi / 2, foot.end.on_axis = true;
  fit_segment(m.loop, &m.draft, 3);
  EXPECT_EQ(foot.end.angle_rad, -pi / 2);
}

TEST(FitSegment, AStraightStaysAsItIs) {
  support::RoundFoot m;
  const Cubic before = cubic_of(m.draft, 0);
  EXPECT_EQ(fit_segment(m.loop, &m.draft, 0), 0);
  EXPECT_TRUE(m.draft.segments[0].straight);
  EXPECT_EQ(cubic_of(m.draft, 0), before);
}

// Two cubics are 0.91 px off a circle of 100 px at best (Dokken, Daehlen, Lyche, Morken, CAGD 7, 1990), so that no half
// of it is one cubic within half a pixel; a quarter is one to 0.027 px.
TEST(SplitSegment, AHalfCircleTakesTwoAndTheRestStays) {
  const SpacedLoop loop = support::exact_loop(support::circle_points({150, 150}, 100, 0.1), 0.5);
  DraftLoop d = support::draft_of(loop, support::circle({150, 150}, 100, 2, support::standard_handle(2)));
  const Cubic other = cubic_of(d, 1);
  ASSERT_GT(segment_error(loop, d, 0).max_px, 0.5);
  EXPECT_EQ(split_segment(loop, &d, 0), 2);
  ASSERT_EQ(d.size(), 3u);
  EXPECT_FALSE(d.nodes[1].corner);
  EXPECT_EQ(d.nodes[1].reason, Reason::added);
  for (std::size_t i = 0; i < 2; ++i) EXPECT_LE(segment_error(loop, d, i).max_px, 0.5);
  EXPECT_EQ(cubic_of(d, 2), other);
  EXPECT_NEAR(wrap_angle(start_angle(d, 1) - end_angle(d, 0)), 0, 1e-9);
}

TEST(SplitSegment, OfAStraightOnlyTheFirstPartStaysStraight) {
  const SpacedLoop loop = support::exact_loop(support::circle_points({150, 150}, 100, 0.1), 0.5);
  DraftLoop d = support::draft_of(loop, support::circle({150, 150}, 100, 4, support::standard_handle(4)));
  d.segments[0].straight = true;
  settle_angles(&d);
  const int parts = split_segment(loop, &d, 0);
  ASSERT_GE(parts, 2);
  EXPECT_TRUE(d.segments[0].straight);
  for (int i = 1; i < parts; ++i) EXPECT_FALSE(d.segments[std::size_t(i)].straight);
}

TEST(SplitSegment, AskedToStopItStillReturnsAnOutline) {
  const SpacedLoop loop = support::exact_loop(support::circle_points({150, 150}, 100, 0.1), 0.01);
  DraftLoop d = support::draft_of(loop, support::circle({150, 150}, 100, 2, support::standard_handle(2)));
  std::stop_source stop;
  stop.request_stop();
  const int parts = split_segment(loop, &d, 1, stop.get_token());
  EXPECT_EQ(d.size(), std::size_t(parts) + 1);
  EXPECT_EQ(d.nodes.size(), d.segments.size());
}

}  // namespace
}  // namespace batten
