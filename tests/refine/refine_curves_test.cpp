#include "refine/refine_curves.h"

#include <gtest/gtest.h>

#include "refine/edit_draft.h"
#include "support/drafts.h"

namespace batten {
namespace {

Result<Draft> refined(const SpacedLoops& loops, const Draft& draft, Options options = {}, const Job& job = {}) {
  Progress progress(job, Stage::refine, 0, 1);
  return refine_curves(loops, draft, options, progress);
}

/// Twelve nodes on a circle, the four extremes among them; only those are needed.
std::pair<SpacedLoop, DraftLoop> crowded() {
  const SpacedLoop loop = support::exact_loop(support::circle_points({150, 150}, 100, 0.1), 0.5);
  DraftLoop d = support::draft_of(loop, support::circle({150, 150}, 100, 12, support::standard_handle(12)));
  for (std::size_t i = 0; i < 12; ++i) {
    DraftNode& j = d.nodes[i];
    const Point out = unit(j.at - Point{150, 150});
    const bool extreme = std::min(std::abs(out.x), std::abs(out.y)) < 0.01;
    j.reason = !extreme       ? Reason::added
               : out.x > 0.9  ? Reason::extreme_right
               : out.x < -0.9 ? Reason::extreme_left
               : out.y > 0.9  ? Reason::extreme_bottom
                              : Reason::extreme_top;
    j.angle_fixed = extreme;
  }
  return {loop, d};
}

TEST(RefineCurves, NodesThatAreNotNeededGo) {
  const auto [loop, d] = crowded();
  const auto out = refined({{loop}}, {{d}});
  ASSERT_TRUE(out.ok());
  EXPECT_EQ(out->loops[0].size(), 4u);
  for (const DraftNode& j : out->loops[0].nodes) EXPECT_NE(j.reason, Reason::added);
  EXPECT_LT(support::off_circle_px(out->loops[0], {150, 150}, 100), 0.2);
}

TEST(RefineCurves, WithoutTheRuleOfExtremesTheyGoToo) {
  const auto [loop, d] = crowded();
  Options options;
  options.extremes = Options::Extremes::free;
  const auto out = refined({{loop}}, {{d}}, options);
  ASSERT_TRUE(out.ok());
  EXPECT_LE(out->loops[0].size(), 4u);
}

TEST(RefineCurves, TheSameForAnyNumberOfThreads) {
  const auto [loop, d] = crowded();
  const SpacedLoops loops{{loop, loop, loop}};
  const Draft draft{{d, d, d}};
  Options three;
  three.threads = 3;
  const auto a = refined(loops, draft), b = refined(loops, draft, three);
  ASSERT_TRUE(a.ok() && b.ok());
  for (std::size_t k = 0; k < 3; ++k) {
    ASSERT_EQ(a->loops[k].size(), b->loops[k].size());
    for (std::size_t i = 0; i < a->loops[k].size(); ++i) EXPECT_EQ(cubic_of(a->loops[k], i), cubic_of(b->loops[k], i));
  }
}

TEST(RefineCurves, StopsWhenAsked) {
  const auto [loop, d] = crowded();
  std::stop_source stop;
  stop.request_stop();
  Job job;
  job.stop = stop.get_token();
  const auto out = refined({{loop}}, {{d}}, {}, job);
  ASSERT_FALSE(out.ok());
  EXPECT_EQ(out.error().code, ErrorCode::cancelled);
}

}  // namespace
}  // namespace batten
