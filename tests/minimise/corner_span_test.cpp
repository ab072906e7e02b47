#include "minimise/corner_span.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

TEST(CornerSpan, TheNumberingBeginsAtACorner) {
  support::RoundFoot m;
  const DraftLoop before = m.draft;
  for (DraftNode& j : m.draft.nodes) j.corner = false;
  EXPECT_FALSE(begin_at_corner(&m.draft));
  m.draft.nodes[2].corner = true;
  ASSERT_TRUE(begin_at_corner(&m.draft));
  EXPECT_TRUE(m.draft.nodes[0].corner);
  for (std::size_t i = 0; i < before.size(); ++i) {
    const std::size_t was = (i + 2) % before.size();
    EXPECT_EQ(m.draft.nodes[i].at, before.nodes[was].at);
    EXPECT_EQ(m.draft.segments[i].start.handle_px, before.segments[was].start.handle_px);
  }
  EXPECT_EQ(segments_to_corner(m.draft, 0), m.draft.size()) << "all round";
  EXPECT_TRUE(corner_span(m.loop, m.draft, 0, m.draft.size()).closed);
}

TEST(CornerSpan, SpansFollowOneAnotherAllRound) {
  support::RoundFoot m;
  m.draft.nodes[3].corner = true;
  ASSERT_TRUE(begin_at_corner(&m.draft));
  std::size_t spans = 0;
  double way = 0;
  for (std::size_t i = 0, segments = 0; i < m.draft.size(); i += segments, ++spans) {
    segments = segments_to_corner(m.draft, i);
    const CornerSpan span = corner_span(m.loop, m.draft, i, segments);
    EXPECT_EQ(span.from.at, m.draft.nodes[i].at);
    EXPECT_FALSE(span.closed);
    way += span.length_px;
  }
  const auto corners =
      std::count_if(m.draft.nodes.begin(), m.draft.nodes.end(), [](const DraftNode& j) { return j.corner; });
  EXPECT_EQ(spans, std::size_t(corners));
  EXPECT_NEAR(way, m.loop.curve.length_px(), 1e-6);
}

TEST(CornerSpan, NodesAreReplacedBetweenItsCornersOnly) {
  support::RoundFoot m;
  ASSERT_TRUE(begin_at_corner(&m.draft));
  const std::size_t n = m.draft.size(), segments = segments_to_corner(m.draft, 0);
  ASSERT_GE(segments, 2u);
  const CornerSpan span = corner_span(m.loop, m.draft, 0, segments);
  DraftNode one;
  one.at = {1, 2};
  DraftLoop d = m.draft;
  put_in_span(&d, span, {one});
  EXPECT_EQ(d.size(), n - segments + 2);
  EXPECT_EQ(d.nodes[1].at, one.at);
  EXPECT_EQ(d.segments[0].start.angle_rad, span.from.angle);
  EXPECT_EQ(d.segments[1].end.angle_rad, span.to.angle);
  EXPECT_EQ(d.nodes.front().at, m.draft.nodes.front().at);
  if (segments < n) {
    EXPECT_EQ(d.nodes.back().at, m.draft.nodes.back().at);
  }
  DraftLoop none = m.draft;
  put_in_span(&none, span, {});
  EXPECT_EQ(none.size(), n - segments + 1);
}

}  // namespace
}  // namespace batten
