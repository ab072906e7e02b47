#include "straighten/turn_straights.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/drafts.h"
#include "support/letters.h"

namespace batten {
namespace {

// A plate 200 px wide whose upper side falls by `fall_px`, known to 0.2 px whose errors are alike over 27 px; tolerance
// 4 px.
struct Plate : LoopStraightening {
  SpacedLoop loop;

  explicit Plate(double fall_px) {
    const Outline o = support::polygon({{40, 60}, {240, 60 + fall_px}, {240, 180}, {40, 180}});
    loop = support::exact_loop(support::points_of(o, 0.25), 4);
    loop.sigma_px = 0.2, loop.correlation_px = 27;
    const std::stop_token stop;
    const auto holds = [](const DraftLoop&, const DraftLoop&) { return true; };
    LoopStraightening::operator=(straighten_loop({{loop, true, stop}, {}, true, holds}, support::draft_of(loop, o)));
  }
};

// The slope of a line through n points evenly along L is known to sigma sqrt(12 / n) / L (Press et al., Numerical
// Recipes, 3rd edition, 2007, 15.2): 0.1 degrees here; a hand misses an axis by 0.3 (common practice, no source).
TEST(TurnStraights, ASideThatNearlyKeepsToTheLevelBecomesLevel) {
  const Plate plate(1.4);  // 0.4 degrees
  EXPECT_TRUE(plate.draft.segments[0].level);
  EXPECT_EQ(plate.draft.nodes[0].at.y, plate.draft.nodes[1].at.y);
  ASSERT_EQ(plate.edits.size(), 1u);
  EXPECT_NEAR(plate.edits[0].moved_px, 0.7, 0.2) << "half of the fall at either end";
}

TEST(TurnStraights, ASlopeThatItsPointsAreSureOfStaysWithinAnyTolerance) {
  const Plate plate(5);  // 1.4 degrees, 2.5 px at either end
  EXPECT_FALSE(plate.draft.segments[0].level);
  EXPECT_TRUE(plate.edits.empty());
}

}  // namespace
}  // namespace batten
