#include "refine/edit_draft.h"

#include <gtest/gtest.h>

#include "fit/segment_data.h"
#include "support/drafts.h"

namespace batten {
namespace {

const Point centre{200, 200};

struct Edited {
  SpacedLoop loop;
  DraftLoop draft;
  std::stop_token stop;
  bool extremes = true;
  EditContext context() const { return {loop, extremes, stop}; }
  double error_px() const { return local_error(loop, draft, Window::all(draft)).max_px; }
};

Edited round(int nodes, double limit_px, double turn = 0.1) {
  const Outline o = support::circle(centre, 100, nodes, support::standard_handle(nodes), 1, turn);
  Edited e{support::exact_loop(support::circle_points(centre, 100, 0.1), limit_px), {}, {}};
  e.draft = support::draft_of(e.loop, o);
  for (DraftNode& j : e.draft.nodes) j.reason = Reason::added;
  return e;
}

Edited from(const Outline& o, double limit_px) {
  Edited e{support::exact_loop(support::points_of(o, 0.1), limit_px), {}, {}};
  e.draft = support::draft_of(e.loop, o);
  return e;
}

TEST(EditDraft, ASuperfluousNodeGoes) {
  Edited e = round(8, 0.5);  // 4 cubics are within 0.03 px of this circle: five can spare any node
  ASSERT_TRUE(try_delete(e.context(), &e.draft, 3));
  EXPECT_EQ(e.draft.size(), 7u);
  EXPECT_LE(e.error_px(), 0.5);
}

TEST(EditDraft, ANodeThatIsNeededStays) {
  Edited e = round(3, 0.12);  // three cubics are 0.077 px off at best, two 0.91
  const DraftLoop before = e.draft;
  for (std::size_t i = 0; i < 3; ++i) EXPECT_FALSE(try_delete(e.context(), &e.draft, i));
  for (std::size_t i = 0; i < 3; ++i)
    EXPECT_EQ(cubic_of(e.draft, i), cubic_of(before, i)) << "a failed edit leaves no trace";
}

// Two cubics are 0.91 px off a circle of 100 px at best, and over half a pixel in the mean.
TEST(EditDraft, ANodeThatFollowsTheDrawingStaysThoughTheLimitWouldDoWithoutIt) {
  Edited e = round(3, 2);
  e.loop.sigma_px = 0.2;
  EXPECT_FALSE(try_delete(e.context(), &e.draft, 0));
}

TEST(EditDraft, WherePointsStrayAsFarNothingSpeaksForANode) {
  Edited e = round(3, 5.2);
  e.loop.sigma_px = 2, e.loop.correlation_px = 30;
  EXPECT_TRUE(try_delete(e.context(), &e.draft, 0));
}

TEST(EditDraft, AToleranceFarWiderThanTheNoiseDecidesAlone) {
  Edited e = round(3, 2);
  e.loop.sigma_px = 0.05;
  EXPECT_TRUE(try_delete(e.context(), &e.draft, 0));
}

TEST(EditDraft, TheEndOfAStraightIsNotDeleted) {
  Edited e = from(support::polygon({{10, 10}, {200, 20}, {150, 180}}), 1);
  EXPECT_FALSE(try_delete(e.context(), &e.draft, 1));
}

TEST(EditDraft, AShortSegmentIsMerged) {
  Edited e = round(6, 0.5);
  DraftLoop& d = e.draft;
  DraftNode near = d.nodes[2];  // a second node 0.7 px further on
  near.arc = e.loop.curve.wrap(near.arc + 0.7), near.at = near.anchor = e.loop.curve.at(near.arc);
  near.angle += 0.007;
  DraftSegment sliver;
  sliver.start.handle_px = sliver.end.handle_px = 0.23;
  d.nodes.insert(d.nodes.begin() + 3, near), d.segments.insert(d.segments.begin() + 2, sliver);
  settle_angles(&d);
  ASSERT_LT(distance(d.nodes[2].at, d.nodes[3].at), shortest_segment_px(e.loop));
  EXPECT_TRUE(merge_short(e.context(), &d, 2));
  EXPECT_EQ(d.size(), 6u);
  EXPECT_LE(e.error_px(), 0.5);
  for (std::size_t i = 0; i < d.size(); ++i) EXPECT_FALSE(merge_short(e.context(), &d, i)) << "the others are long";
}

TEST(EditDraft, AShortSideBetweenCornersIsMeant) {
  Edited e = from(support::polygon({{10, 10}, {200, 10}, {200, 11}, {150, 180}}), 0.25);
  EXPECT_FALSE(merge_short(e.context(), &e.draft, 1));
}

TEST(EditDraft, ASegmentOverTheLimitIsHeld) {
  Edited e = round(2, 0.2);  // two cubics are 0.91 px off at best: a split is needed
  const double before = e.error_px();
  ASSERT_GT(before, 0.2);
  EXPECT_TRUE(repair_segment(e.context(), &e.draft, 0));
  EXPECT_GE(e.draft.size(), 3u);
  EXPECT_LT(segment_error(e.loop, e.draft, 0).max_px, before);
  Edited fine = round(8, 0.5);
  EXPECT_FALSE(repair_segment(fine.context(), &fine.draft, 0)) << "nothing to do";
}

TEST(EditDraft, TheSmallestLargestOffsetHoldsWithoutANode) {
  Edited e = round(3, 0.1);  // 0.154 with standard handles, 0.077 at best
  ASSERT_GT(segment_error(e.loop, e.draft, 0).max_px, 0.1);
  EXPECT_TRUE(repair_segment(e.context(), &e.draft, 0));
  EXPECT_EQ(e.draft.size(), 3u);
}

TEST(EditDraft, ASegmentOverTheLimitIsDividedAndNothingElseMoves) {
  Edited e = round(2, 0.2);  // two cubics are 0.91 px off at best
  const Cubic other = cubic_of(e.draft, 1);
  ASSERT_GT(segment_error(e.loop, e.draft, 0).max_px, 0.2);
  ASSERT_TRUE(try_divide(e.context(), &e.draft, 0));
  ASSERT_GE(e.draft.size(), 3u);
  EXPECT_LE(local_error(e.loop, e.draft, Window(e.draft, 0, e.draft.size() - 1)).max_px, 0.2);
  EXPECT_EQ(cubic_of(e.draft, e.draft.size() - 1), other);
  const std::size_t divided = e.draft.size();
  EXPECT_FALSE(try_divide(e.context(), &e.draft, 0)) << "it holds";
  EXPECT_EQ(e.draft.size(), divided);
}

// Four cubics hold a circle to 0.027 px: the node between two segments that do not is set anew, and no other is
// added.
TEST(EditDraft, TwoSegmentsAreDividedAnewWhereThatTakesFewerNodes) {
  Edited e = round(4, 0.05);
  DraftNode& moved = e.draft.nodes[1];
  moved.arc = e.loop.curve.wrap(moved.arc + 30), moved.at = moved.anchor = e.loop.curve.at(moved.arc);
  moved.angle = angle_of(e.loop.curve.at(moved.arc + 1) - e.loop.curve.at(moved.arc - 1));
  settle_angles(&e.draft);
  ASSERT_GT(segment_error(e.loop, e.draft, 0).max_px, 0.05);
  ASSERT_TRUE(try_divide(e.context(), &e.draft, 0));
  EXPECT_EQ(e.draft.size(), 4u);
  EXPECT_LE(e.error_px(), 0.05);
}

TEST(EditDraft, AWeakCornerBecomesSmoothAndAPlainOneStays) {
  Edited e =
      from(support::polygon({{10, 10}, {200, 10}, {205, 100}, {200, 190}, {10, 190}}), 3);  // 6.4 degrees at (205, 100)
  EXPECT_FALSE(smooth_weak_corner(e.context(), &e.draft, 0, 18));
  EXPECT_TRUE(smooth_weak_corner(e.context(), &e.draft, 2, 18));
  EXPECT_FALSE(e.draft.nodes[2].corner);
  EXPECT_NEAR(wrap_angle(start_angle(e.draft, 2) - end_angle(e.draft, 1)), 0, 1e-9);
}

TEST(EditDraft, DirectionsNearAnAxisAreSnapped) {
  Edited e = round(4, 1, radians(2));
  EXPECT_EQ(snap_handles(&e.draft), 4);
  for (const DraftNode& j : e.draft.nodes) {
    EXPECT_TRUE(j.angle_fixed);
    EXPECT_NEAR(std::remainder(j.angle, pi / 2), 0, 1e-12);
  }
  Edited tilted = round(4, 1, radians(10));
  EXPECT_EQ(snap_handles(&tilted.draft), 0);
}

TEST(EditDraft, RemovingANodeKeepsTheOuterDirections) {
  Edited e = round(4, 1);
  const Point before = cubic_of(e.draft, 1)[1] - cubic_of(e.draft, 1)[0],
              after = cubic_of(e.draft, 2)[3] - cubic_of(e.draft, 2)[2];
  remove_node(&e.draft, 2);
  ASSERT_EQ(e.draft.size(), 3u);
  const Cubic c = cubic_of(e.draft, 1);
  EXPECT_NEAR(cross(unit(c[1] - c[0]), unit(before)), 0, 1e-12);
  EXPECT_NEAR(cross(unit(c[3] - c[2]), unit(after)), 0, 1e-12);
}

}  // namespace
}  // namespace batten
