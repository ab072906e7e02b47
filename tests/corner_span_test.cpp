#include "corner_span.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

TEST(CornerSpan, TheNumberingBeginsAtACorner) {
  support::RoundFoot m;
  const DraftLoop before = m.draft;
  for (Joint& j : m.draft.joints) j.corner = false;
  EXPECT_FALSE(begin_at_corner(&m.draft));
  m.draft.joints[2].corner = true;
  ASSERT_TRUE(begin_at_corner(&m.draft));
  EXPECT_TRUE(m.draft.joints[0].corner);
  for (std::size_t i = 0; i < before.size(); ++i) {
    const std::size_t was = (i + 2) % before.size();
    EXPECT_EQ(m.draft.joints[i].at, before.joints[was].at);
    EXPECT_EQ(m.draft.pieces[i].h0, before.pieces[was].h0);
  }
  EXPECT_EQ(pieces_to_corner(m.draft, 0), m.draft.size()) << "all round";
  EXPECT_TRUE(corner_span(m.loop, m.draft, 0, m.draft.size()).closed);
}

TEST(CornerSpan, SpansFollowOneAnotherAllRound) {
  support::RoundFoot m;
  m.draft.joints[3].corner = true;
  ASSERT_TRUE(begin_at_corner(&m.draft));
  std::size_t spans = 0;
  double way = 0;
  for (std::size_t i = 0, pieces = 0; i < m.draft.size(); i += pieces, ++spans) {
    pieces = pieces_to_corner(m.draft, i);
    const CornerSpan span = corner_span(m.loop, m.draft, i, pieces);
    EXPECT_EQ(span.from.at, m.draft.joints[i].at);
    EXPECT_FALSE(span.closed);
    way += span.way_px;
  }
  const auto corners = std::count_if(m.draft.joints.begin(), m.draft.joints.end(), [](const Joint& j) { return j.corner; });
  EXPECT_EQ(spans, std::size_t(corners));
  EXPECT_NEAR(way, m.loop.even.length_px(), 1e-6);
}

TEST(CornerSpan, NodesAreReplacedBetweenItsCornersOnly) {
  support::RoundFoot m;
  ASSERT_TRUE(begin_at_corner(&m.draft));
  const std::size_t n = m.draft.size(), pieces = pieces_to_corner(m.draft, 0);
  ASSERT_GE(pieces, 2u);
  const CornerSpan span = corner_span(m.loop, m.draft, 0, pieces);
  Joint one;
  one.at = {1, 2};
  DraftLoop d = m.draft;
  put_in_span(&d, span, {one});
  EXPECT_EQ(d.size(), n - pieces + 2);
  EXPECT_EQ(d.joints[1].at, one.at);
  EXPECT_EQ(d.pieces[0].a0, span.from.angle);
  EXPECT_EQ(d.pieces[1].a1, span.to.angle);
  EXPECT_EQ(d.joints.front().at, m.draft.joints.front().at);
  if (pieces < n) {
    EXPECT_EQ(d.joints.back().at, m.draft.joints.back().at);
  }
  DraftLoop none = m.draft;
  put_in_span(&none, span, {});
  EXPECT_EQ(none.size(), n - pieces + 1);
}

}  // namespace
}  // namespace batten
