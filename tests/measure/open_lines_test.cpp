// Open lines by the independent measure: straight ones, whose distances are known.
#include <gtest/gtest.h>

#include "batten/measure.h"

namespace batten {
namespace {

Outline polyline(const std::vector<Point>& points) {
  Outline o;
  for (const Point p : points) o.nodes.push_back({p, p, p, false});
  o.closed = false, o.kind = Kind::line;
  return o;
}

TEST(OpenLines, AreMeasuredAgainstOpenPolylines) {
  const Outline line = polyline({{0, 0}, {200, 0}});
  EXPECT_NEAR(measure(line, std::vector<Point>{{0, 3}, {200, 3}}).max_px, 3, 1e-9);
  EXPECT_NEAR(measure(line, std::vector<Point>{{0, 3}, {200, 3}}).rms_px, 3, 1e-9);
  EXPECT_NEAR(measure(line, std::vector<Point>{{0, 0}, {100, 5}, {200, 0}}).max_px, 5, 0.01);
  EXPECT_LT(measure(line, std::vector<Point>{{200, 0}, {0, 0}}).max_px, 1e-9) << "whichever end comes first";
}

TEST(OpenLines, EndsCount) {
  const Outline line = polyline({{0, 0}, {200, 0}});
  EXPECT_NEAR(measure(line, std::vector<Point>{{-7, 0}, {200, 0}}).max_px, 7, 1e-9);
  EXPECT_NEAR(measure(line, std::vector<Point>{{0, 0}, {190, 0}}).max_px, 10, 1e-9);
}

TEST(OpenLines, ShortOnesAreMeasuredAllRound) {
  for (const double length_px : {4.0, 11.0, 12.0, 12.3, 13.0, 24.0, 25.0}) {
    std::vector<Point> located;
    for (int i = 0; i <= int(length_px); ++i) located.push_back({length_px * i / int(length_px), 0.2});
    EXPECT_NEAR(measure(polyline({{0, 0}, {length_px, 0}}), located).max_px, 0.2, 1e-9) << length_px;
  }
}

TEST(OpenLines, TheDeviationAlongHasOneListForEachSegment) {
  const auto along =
      deviation_along(polyline({{0, 0}, {100, 0}, {100, 60}}), std::vector<Point>{{0, -2}, {102, -2}, {102, 60}}, 10);
  ASSERT_EQ(along.size(), 2u);
  EXPECT_EQ(along[0].size(), 10u);
  EXPECT_NEAR(along[0][5], 2, 1e-9);  // left of the way to the right, where y runs down
  EXPECT_NEAR(along[1][3], 2, 1e-9);
}

// A closing straight would cross the second; it is none.
TEST(OpenLines, CrossThemselvesOnlyWhereTheyAreDrawn) {
  EXPECT_TRUE(crosses_itself(polyline({{0, 0}, {100, 100}, {100, 0}, {0, 100}})));
  EXPECT_FALSE(crosses_itself(polyline({{0, 0}, {100, 100}, {50, 20}, {20, 60}, {90, 20}, {99, 50}})) &&
               !crosses_itself(polyline({{0, 0}, {100, 0}, {100, 100}, {50, 100}, {50, -50}})));
  EXPECT_FALSE(crosses_itself(polyline({{0, 0}, {100, 0}, {100, 100}, {0, 100}, {50, 50}})));
  EXPECT_FALSE(crosses_itself(polyline({{0, 0}, {100, 0}, {100, 100}, {0, 0}}))) << "an end on its start is a touch";
  EXPECT_TRUE(cross_each_other(polyline({{0, 0}, {100, 100}}), polyline({{0, 100}, {100, 0}})));
  EXPECT_FALSE(cross_each_other(polyline({{0, 0}, {40, 40}}), polyline({{0, 100}, {100, 0}})));
  EXPECT_EQ(signed_area_px2(polyline({{0, 0}, {100, 0}, {100, 100}})), 0);
}

}  // namespace
}  // namespace batten
