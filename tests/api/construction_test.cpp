#include <gtest/gtest.h>

#include "base/vec.h"
#include "batten/convert.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

Conversion traced_sheet(const PencilSheet& sheet, Options::Construction construction) {
  Options options;
  options.construction = construction;
  const auto scanned = sheet.with_grain(2).scan(9);
  return *convert(scanned.view(), options);
}

// A letter on two pale lines that were set out before it.
Conversion traced(Options::Construction construction) {
  PencilSheet sheet(800, 700);
  sheet.box(220, 120, 560, 580, 4, 0.75);
  sheet.ring({390, 350}, 110, 4, 0.75);
  sheet.line({130, 40}, {470, 660}, 1.5, 0.1);
  sheet.line({60, 600}, {740, 160}, 1.5, 0.1);
  return traced_sheet(sheet, construction);
}

TEST(Construction, IsLeftOutUnlessItIsAskedFor) {
  const Drawing drawing = traced(Options::Construction::leave_out).drawing;
  EXPECT_EQ(drawing.outlines.size(), 2u);
  for (const Outline& o : drawing.outlines) EXPECT_TRUE(o.closed);
}

TEST(Construction, KeptItIsOneStraightForEachLine) {
  const Drawing left_out = traced(Options::Construction::leave_out).drawing;
  const Drawing drawing = traced(Options::Construction::keep).drawing;
  ASSERT_EQ(drawing.outlines.size(), 4u);
  for (std::size_t i = 0; i < 2; ++i)
    EXPECT_EQ(drawing.outlines[i].segment_count(), left_out.outlines[i].segment_count());
  for (std::size_t i = 2; i < 4; ++i) {
    const Outline& line = drawing.outlines[i];
    EXPECT_FALSE(line.closed);
    EXPECT_EQ(line.kind, Kind::line);
    ASSERT_EQ(line.segment_count(), 1u);
    EXPECT_TRUE(line.is_straight(0));
    EXPECT_GT(distance(line.nodes.front().at, line.nodes.back().at), 680) << "707 and 810 px were drawn";
  }
}

// A letter on a compass line that leaves the sheet, another one that does not, and the ring that a cup left.
Conversion traced_on_circles(Options::Construction construction) {
  PencilSheet sheet(800, 700);
  sheet.box(220, 120, 560, 580, 4, 0.75);
  sheet.ring({400, 360}, 150, 2, 0.2);
  sheet.ring({690, 330}, 180, 2, 0.2);
  sheet.ring({200, 560}, 90, 8, 0.14);
  return traced_sheet(sheet, construction);
}

TEST(Construction, KeptCirclesAreCirclesAndArcsAndRingsOfCupsNever) {
  const Drawing left_out = traced_on_circles(Options::Construction::leave_out).drawing;
  ASSERT_EQ(left_out.outlines.size(), 1u);
  const Drawing drawing = traced_on_circles(Options::Construction::keep).drawing;
  ASSERT_EQ(drawing.outlines.size(), 3u);
  std::size_t closed = 0;
  for (std::size_t i = 1; i < 3; ++i) {
    const Outline& o = drawing.outlines[i];
    EXPECT_EQ(o.kind, Kind::line);
    closed += o.closed;
    const Point centre = o.closed ? Point{400, 360} : Point{690, 330};
    for (const Node& n : o.nodes) EXPECT_NEAR(distance(n.at, centre), o.closed ? 150 : 180, 0.7);
  }
  EXPECT_EQ(closed, 1u);
}

}  // namespace
}  // namespace batten
