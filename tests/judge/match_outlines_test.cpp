#include "judge/match_outlines.h"

#include <gtest/gtest.h>

#include "base/vec.h"
#include "support/shapes.h"

namespace batten {
namespace {

using support::Polyline;

Outline ring(Point centre, double radius) { return support::circle(centre, radius, 4, support::standard_handle(4)); }
Polyline drawn(Point centre, double radius) { return support::circle_points(centre, radius, 0.5); }

TEST(MatchOutlines, ACounterIsToldFromTheOutlineRoundIt) {
  const std::vector<Outline> outlines{ring({200, 200}, 100), ring({200, 200}, 85), ring({500, 200}, 40)};
  EXPECT_EQ(match_outlines(outlines, {drawn({500, 200}, 40), drawn({200, 200}, 85), drawn({200, 200}, 100)}, 12),
            (std::vector<int>{2, 1, 0}));
}

TEST(MatchOutlines, EachPolylineIsGivenAwayOnceToTheNearest) {
  const std::vector<Outline> outlines{ring({203, 200}, 100), ring({201, 200}, 100)};
  EXPECT_EQ(match_outlines(outlines, {drawn({200, 200}, 100)}, 12), (std::vector<int>{-1, 0}));
}

// A circle moved by d lies 2 d / pi off itself in the mean.
TEST(MatchOutlines, TheMeanDistanceDecidesOrATwentiethOfTheSize) {
  for (const double most_px : {3.0, 6.0}) {
    const double farthest_px = 0.5 * pi * most_px;
    const Polyline small = drawn({100, 100}, 20);  // a twentieth of its size is 2 px
    EXPECT_EQ(match_outlines(std::vector{ring({100 + 0.9 * farthest_px, 100}, 20)}, {small}, most_px)[0], 0);
    EXPECT_EQ(match_outlines(std::vector{ring({100 + 1.2 * farthest_px, 100}, 20)}, {small}, most_px)[0], -1);
  }
  EXPECT_EQ(match_outlines(std::vector{ring({210, 200}, 100)}, {drawn({200, 200}, 100)}, 1)[0], 0) << "10 px of 200";
}

TEST(MatchOutlines, AnOutlineThatStraysHereAndThereIsStillThatShapes) {
  Outline strays = support::polygon({{40, 40}, {240, 40}, {240, 240}, {40, 240}});
  strays.nodes[1].at = strays.nodes[1].handle_before = strays.nodes[1].handle_after = {260, 25};
  const Polyline square = support::points_of(support::polygon({{40, 40}, {240, 40}, {240, 240}, {40, 240}}), 0.5);
  EXPECT_EQ(match_outlines(std::vector{strays}, {square}, 5)[0], 0);
}

TEST(MatchOutlines, NothingMatchesNothing) {
  EXPECT_TRUE(match_outlines({}, {drawn({100, 100}, 20)}, 5).empty());
  EXPECT_EQ(match_outlines(std::vector{Outline{}, ring({100, 100}, 20)}, {{}}, 5), (std::vector<int>{-1, -1}));
}

}  // namespace
}  // namespace batten
