#include "network/drop_hole_rims.h"

#include <gtest/gtest.h>

#include "base/vec.h"

namespace batten {
namespace {

// The left third of a circle of radius 30, as a hole shows it whose rim casts a shadow.
LinePath arc(Point centre, double radius_px = 30, double from_deg = 120, double to_deg = 240) {
  LinePath out;
  for (double a = from_deg; a <= to_deg; a += 2) out.points.push_back(centre + radius_px * direction(radians(a)));
  out.sure.assign(out.points.size(), 1);
  out.width_px = 4, out.start_free = out.end_free = true;
  return out;
}

int dropped(std::vector<LinePath> lines) {
  LinePaths paths;
  paths.paths = std::move(lines);
  const std::size_t before = paths.paths.size();
  const int gone = drop_hole_rims(3500, 2480, &paths);
  EXPECT_EQ(paths.paths.size(), before - std::size_t(gone));
  return gone;
}

// 80 mm at 300 dpi are 945 px.
TEST(DropHoleRims, EqualArcsAtEqualDistancesAlongAnEdgeGo) {
  EXPECT_EQ(dropped({arc({300, 2390}), arc({1245, 2391}), arc({2190, 2389}), arc({3135, 2390})}), 4);
  EXPECT_EQ(dropped({arc({300, 2390}), arc({1245, 2391}), arc({3135, 2390})}), 3) << "one was not seen";
  EXPECT_EQ(dropped({arc({90, 300}), arc({90, 1245}), arc({90, 2190})}), 3) << "at the left";
}

TEST(DropHoleRims, WhatIsDrawnStays) {
  EXPECT_EQ(dropped({arc({300, 2390}), arc({1245, 2391})}), 0) << "two may be anything";
  EXPECT_EQ(dropped({arc({300, 2390}), arc({1245, 2391}), arc({2240, 2389})}), 0) << "not at equal distances";
  EXPECT_EQ(dropped({arc({300, 1300}), arc({1245, 1300}), arc({2190, 1300})}), 0) << "in the middle of the sheet";
  EXPECT_EQ(dropped({arc({300, 2390}), arc({1245, 2391}, 30, -60, 60), arc({2190, 2389})}), 0) << "not all alike";
  EXPECT_EQ(dropped({arc({300, 2390}), arc({400, 2390}), arc({500, 2390})}), 0) << "a row of brackets";
  std::vector<LinePath> ticks{arc({300, 2390}), arc({1245, 2390}), arc({2190, 2390})};
  for (LinePath& tick : ticks)
    for (std::size_t i = 0; i < tick.points.size(); ++i) tick.points[i].x = tick.points[0].x;
  EXPECT_EQ(dropped(ticks), 0) << "straight marks of a scale";
}

}  // namespace
}  // namespace batten
