#include "straighten/edit_limits.h"

#include <gtest/gtest.h>

#include "fit/segment_data.h"
#include "support/drafts.h"

namespace batten {
namespace {

Outline shape() { return support::d_with_round_foot(); }

TEST(EditLimits, WhatIsWithinHasTheSameFit) {
  const SpacedLoop loop = support::exact_loop(support::points_of(shape(), 0.1), 0.5);
  const DraftLoop d = support::draft_of(loop, shape());
  const OutlineFit fit = outline_fit(loop, d, {});
  EXPECT_LT(fit.segments_px, 0.1);
  EXPECT_LT(fit.all_px, 0.3);
  EXPECT_FALSE(fit.crosses);
  const std::optional<OutlineFit> same = outline_fit_within(loop, d, allowed_after(loop, fit), {});
  ASSERT_TRUE(same);
  EXPECT_EQ(same->segments_px, fit.segments_px);
  EXPECT_EQ(same->all_px, fit.all_px);
}

TEST(EditLimits, WhatMovedTooFarIsNotWithin) {
  const SpacedLoop loop = support::exact_loop(support::points_of(shape(), 0.1), 0.5);
  const DraftLoop d = support::draft_of(loop, shape());
  const OutlineFit bound = allowed_after(loop, outline_fit(loop, d, {}));
  DraftLoop moved = d;
  moved.nodes[2].at = moved.nodes[2].at + Point{2, 0};
  EXPECT_FALSE(outline_fit_within(loop, moved, bound, {}));
  EXPECT_FALSE(is_within(outline_fit(loop, moved, {}), bound));
  DraftLoop turned = d;  // a corner of the D on its other side: the outline crosses itself
  turned.nodes[4].at = {300, 200};
  EXPECT_TRUE(outline_fit(loop, turned, {}).crosses);
  EXPECT_FALSE(outline_fit_within(loop, turned, {1e9, 1e9, false, 100}, {}));
}

TEST(EditLimits, SquaresAloneAreThoseOfTheWholeMeasure) {
  const SpacedLoop loop = support::exact_loop(support::points_of(shape(), 0.1), 0.5);
  DraftLoop d = support::draft_of(loop, shape());
  d.nodes[2].at = d.nodes[2].at + Point{0.3, 0.1};
  for (std::size_t i = 0; i < d.size(); ++i) EXPECT_EQ(square_sum_px3(loop, d, i), segment_error(loop, d, i).sum2);
}

}  // namespace
}  // namespace batten
