// What the nodes of an outline are held by while all of them are solved together.
#include "refine/joint_terms.h"

#include <gtest/gtest.h>

#include <optional>

#include "fit/handle_caps.h"
#include "fit/segment_data.h"
#include "support/drafts.h"

namespace batten {
namespace {

constexpr Quantity quantities[] = {Quantity::x,  Quantity::y,  Quantity::angle, Quantity::h0,
                                   Quantity::h1, Quantity::a0, Quantity::a1};

std::optional<Pull> pull_of(const JointTerms& terms, Quantity of) {
  for (const Pull& p : terms.pulls)
    if (p.of == of) return p;
  return {};
}

std::optional<Range> range_of(const JointTerms& terms, Quantity of) {
  for (const Range& r : terms.ranges)
    if (r.of == of) return r;
  return {};
}

// The D with a round foot: nodes 0 and 4 are corners, 1 ends a straight, segments 1 to 3 are curves.
TEST(JointTerms, AScalarThatIsSetIsReadBackAndNothingElseChanges) {
  for (const Quantity q : quantities) {
    support::RoundFoot m;
    set_value(&m.draft, q, 2, 0.25);
    EXPECT_EQ(value_of(m.draft, q, 2), 0.25);
    const support::RoundFoot before;
    for (const Quantity other : quantities)
      for (std::size_t i = 0; i < m.draft.size(); ++i)
        if (other != q || i != 2) {
          EXPECT_EQ(value_of(m.draft, other, i), value_of(before.draft, other, i));
        }
  }
  support::RoundFoot m;
  set_value(&m.draft, Quantity::angle, 2, 3 * pi);
  EXPECT_NEAR(m.draft.nodes[2].angle, pi, 1e-12) << "angles of nodes stay within half a turn";
}

TEST(JointTerms, NodesArePulledToWhereTheyWereLocatedFirstAndCornersHarder) {
  support::RoundFoot m;
  m.draft.nodes[2].at = m.draft.nodes[2].at + Point{4, -3};
  const JointTerms smooth = joint_terms(m.loop, m.draft, 2), corner = joint_terms(m.loop, m.draft, 0);
  EXPECT_EQ(pull_of(smooth, Quantity::x)->target, m.draft.nodes[2].anchor.x);
  EXPECT_EQ(pull_of(smooth, Quantity::y)->target, m.draft.nodes[2].anchor.y);
  EXPECT_GT(pull_of(smooth, Quantity::x)->sd, 5 * pull_of(corner, Quantity::x)->sd);
}

TEST(JointTerms, ACornerOfAnExactEdgeMovesByHalfTheLimitAtMost) {
  const support::RoundFoot m;  // the limit is 0.5 px
  const DraftNode& corner = m.draft.nodes[4];
  const JointTerms terms = joint_terms(m.loop, m.draft, 4);
  EXPECT_NEAR(range_of(terms, Quantity::x)->low, corner.anchor.x - 0.25, 1e-12);
  EXPECT_NEAR(range_of(terms, Quantity::x)->high, corner.anchor.x + 0.25, 1e-12);
  EXPECT_NEAR(range_of(terms, Quantity::y)->high, corner.anchor.y + 0.25, 1e-12);
  const JointTerms smooth = joint_terms(m.loop, m.draft, 2);
  EXPECT_GT(range_of(smooth, Quantity::x)->high - m.draft.nodes[2].at.x, 10) << "a smooth node may slide";
}

TEST(JointTerms, HandlesEndBeforeTheTangentsMeet) {
  const support::RoundFoot m;
  const Cubic c = cubic_of(m.draft, 1);  // a quarter turn from (160, 40) to (250, 140): the tangents meet at (250, 40)
  const JointTerms terms = joint_terms(m.loop, m.draft, 1);
  EXPECT_LT(range_of(terms, Quantity::h0)->high, 90);
  EXPECT_LT(range_of(terms, Quantity::h1)->high, 100);
  for (const Quantity q : {Quantity::h0, Quantity::h1}) {
    EXPECT_NEAR(range_of(terms, q)->low, shortest_handle * distance(c[0], c[3]), 1e-9);
    EXPECT_LT(range_of(terms, q)->low, value_of(m.draft, q, 1));
    EXPECT_GT(range_of(terms, q)->high, value_of(m.draft, q, 1));
  }
  EXPECT_FALSE(range_of(joint_terms(m.loop, m.draft, 0), Quantity::h0)) << "a straight has no handles";
}

TEST(JointTerms, ADirectionAtACornerStaysNearTheLoopsOwn) {
  support::RoundFoot m;
  DraftSegment& foot = m.draft.segments[3];
  foot.end.angle_rad = wrap_angle(foot.end.angle_rad + pi - 0.2);  // backwards
  const JointTerms terms = joint_terms(m.loop, m.draft, 3);
  const ArmDirection arm = arm_at(m.loop, m.draft.nodes[4], stretch_px(m.loop, m.draft, 3), false);
  const Range range = *range_of(terms, Quantity::a1);
  EXPECT_NEAR(wrap_angle(0.5 * (range.low + range.high) - arm.angle), 0, 1e-9);
  EXPECT_LT(range.high - range.low, 6.1 * arm.sd_rad);
  EXPECT_NEAR(wrap_angle(pull_of(terms, Quantity::a1)->target - arm.angle), 0, 1e-9);
  EXPECT_FALSE(pull_of(terms, Quantity::a0)) << "its start is smooth";
  EXPECT_FALSE(pull_of(joint_terms(m.loop, m.draft, 3, false), Quantity::a1)) << "it does not move";
}

TEST(JointTerms, DirectionsThatAreGivenTakeNoSlot) {
  support::RoundFoot m;
  m.draft.nodes[2].angle_fixed = true;
  m.draft.segments[3].end.on_axis = true;
  double block = 0;
  const SlotOf slot = [&](Quantity of, std::size_t i) { return Slot{&block, value_of(m.draft, of, i)}; };
  const SegmentSlots first = segment_slots(m.loop, m.draft, 1, 2, slot),
                     last = segment_slots(m.loop, m.draft, 3, 2, slot);
  EXPECT_TRUE(first.start.along_line) << "the straight before gives the direction";
  EXPECT_EQ(first.start.line_x.value, m.draft.nodes[0].at.x);
  EXPECT_EQ(first.end.angle.block, nullptr);
  EXPECT_EQ(first.end.angle.value, m.draft.nodes[2].angle);
  EXPECT_EQ(last.end.angle.block, nullptr);
  EXPECT_NE(last.start.angle.block, nullptr);
  EXPECT_EQ(first.convex_sense, 1) << "the bowl turns clockwise on screen";
  EXPECT_EQ(segment_slots(m.loop, m.draft, 1, 8, slot).scale_px, m.loop.limit_px) << "high powers measure in limits";
}

TEST(JointTerms, HandlesAreClampedToWhatTheGeometryAllows) {
  support::RoundFoot m;
  m.draft.segments[1].start.handle_px = 500, m.draft.segments[2].end.handle_px = 0;
  const double kept = m.draft.segments[1].end.handle_px;
  clamp_handles(&m.draft);
  EXPECT_LT(m.draft.segments[1].start.handle_px, 90);
  EXPECT_GT(m.draft.segments[2].end.handle_px, 0);
  EXPECT_EQ(m.draft.segments[1].end.handle_px, kept);
}

}  // namespace
}  // namespace batten
