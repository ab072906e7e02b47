// A sheet laid askew is turned back: points, corners and guides by the same known angle.
#include "structure/turn_sheet.h"

#include <gtest/gtest.h>

#include "support/drafts.h"

namespace batten {
namespace {

struct Sheet {
  SpacedLoops loops;
  Corners corners;
  std::vector<Guide> guides{{120, 0.03}};
};

// A box from (100, 50) to (300, 150), its middle at (200, 100), and a smaller one inside.
Sheet sheet() {
  Sheet s;
  for (const double margin : {0.0, 30.0}) {
    const support::Polyline box{{100 + margin, 50 + margin},
                                {300 - margin, 50 + margin},
                                {300 - margin, 150 - margin},
                                {100 + margin, 150 - margin}};
    s.loops.loops.push_back(support::exact_loop(box));
    s.corners.relocated.push_back(s.loops.loops.back().curve);
    Corner c;
    c.apex = box[1], c.into = {1, 0}, c.out_of = {0, 1}, c.turn_deg = 90, c.accepted = true;
    s.corners.of_loop.push_back({c});
  }
  return s;
}

TEST(TurnSheet, EverythingTurnsClockwiseOnScreenAboutTheMiddle) {
  const Sheet s = sheet();
  const double deg = 5;
  const TurnedSheet out = turn_sheet(s.loops, s.corners, s.guides, deg);
  const Point along = direction(radians(deg)), across = left_of(along);  // y runs down: a positive angle is clockwise
  const auto expected = [&](Point p) { return Point{200, 100} + (p.x - 200) * along + (p.y - 100) * across; };
  for (std::size_t k = 0; k < 2; ++k) {
    const ArcLoop &before = s.loops.loops[k].curve, &after = out.loops.loops[k].curve;
    ASSERT_EQ(before.size(), after.size());
    for (std::size_t i = 0; i < before.size(); ++i) {
      EXPECT_LT(distance(after.points[i], expected(before.points[i])), 1e-9);
      EXPECT_EQ(out.corners.relocated[k].points[i], after.points[i]);
    }
    const Corner &was = s.corners.of_loop[k][0], &is = out.corners.of_loop[k][0];
    EXPECT_LT(distance(is.apex, expected(was.apex)), 1e-9);
    EXPECT_LT(distance(is.into, along), 1e-12) << "directions turn and do not move";
    EXPECT_LT(distance(is.out_of, across), 1e-12);
    EXPECT_EQ(is.turn_deg, was.turn_deg);
    EXPECT_TRUE(is.accepted);
  }
}

TEST(TurnSheet, AGuideStaysTheSameLineOfTheSheet) {
  const Sheet s = sheet();
  const double deg = -degrees(std::atan(0.03));
  const TurnedSheet out = turn_sheet(s.loops, s.corners, s.guides, deg);
  ASSERT_EQ(out.guides.size(), 1u);
  EXPECT_NEAR(out.guides[0].slope, 0, 1e-12) << "turned back by its own slope it is level";
  // Its distance from the middle of the sheet is kept.
  const double before = (120 + 0.03 * 200 - 100) / std::hypot(1, 0.03);
  EXPECT_NEAR(out.guides[0].y0_px - 100, before, 1e-9);
}

TEST(TurnSheet, ATurnAndItsOppositeLeaveEverythingWhereItWas) {
  const Sheet s = sheet();
  const TurnedSheet there = turn_sheet(s.loops, s.corners, s.guides, 4);
  // The box round a turned box has the same middle.
  const TurnedSheet back = turn_sheet(there.loops, there.corners, there.guides, -4);
  for (std::size_t i = 0; i < s.loops.loops[0].curve.size(); ++i)
    EXPECT_LT(distance(back.loops.loops[0].curve.points[i], s.loops.loops[0].curve.points[i]), 1e-9);
  EXPECT_NEAR(back.guides[0].y0_px, 120, 1e-9);
  EXPECT_NEAR(back.guides[0].slope, 0.03, 1e-12);
}

TEST(TurnSheet, AGuideThatWouldStandVerticalIsLeftOut) {
  const Sheet s = sheet();
  EXPECT_TRUE(turn_sheet(s.loops, s.corners, {{120, 0}}, 90).guides.empty());
}

}  // namespace
}  // namespace batten
