// The scoring that the pencil cases rely on: it must see each fault that it counts.
#include "support/score.h"

#include <gtest/gtest.h>

#include <cmath>

#include "batten/measure.h"
#include "support/field.h"
#include "support/font_outline.h"
#include "support/recursive_split.h"
#include "support/shapes.h"

namespace batten {
namespace {

std::vector<Outline> letter() { return support::glyph(support::font_file("texgyrebonum-bold.otf"), U'R', 300, 20); }

TEST(Score, ADrawingAgainstItselfIsPerfect) {
  const std::vector<Outline> truth = letter();
  ASSERT_EQ(truth.size(), 2u) << "apt-get install fonts-texgyre";
  const support::Score s = support::score(truth, truth);
  EXPECT_EQ(s.paired, 2u);
  EXPECT_EQ(s.missing() + s.extra() + s.false_corners + s.bumps + s.crossing + s.wrong_way, 0u);
  EXPECT_DOUBLE_EQ(s.nodes(), 1);
  EXPECT_LT(s.max_px, 0.01);
  EXPECT_EQ(s.corners_found, s.truth_corners);
  EXPECT_GT(s.truth_corners, 10u);
  EXPECT_EQ(s.axis_straights_found, s.axis_straights);
}

TEST(Score, SeesEachFault) {
  const std::vector<Outline> truth = letter();
  ASSERT_EQ(truth.size(), 2u);
  EXPECT_EQ(support::score(truth, {truth[0]}).missing(), 1u);
  EXPECT_EQ(support::score({truth[1]}, truth).extra(), 1u);
  EXPECT_EQ(support::score(truth, {support::reversed(truth[0]), truth[1]}).wrong_way, 1u);
  std::vector<Outline> shifted = truth;
  for (Outline& o : shifted) o = support::moved(o, 1, 0, {1.5, 0});
  EXPECT_NEAR(support::score(truth, shifted).max_px, 1.5, 0.05);

  const Outline circle = support::circle({100, 100}, 60, 4, support::standard_handle(4));
  EXPECT_EQ(support::score({circle}, {circle}).missed_extremes, 0u);
  EXPECT_EQ(support::score({circle}, {support::circle({100, 100}, 60, 4, support::standard_handle(4), 1, 0.6)})
                .missed_extremes,
            4u);
  EXPECT_EQ(support::score({circle}, {support::circle({100, 100}, 60, 4, support::standard_handle(4), 1, 0.02)})
                .handles_near_axis,
            8u);
  EXPECT_EQ(support::score({circle}, {support::circle({100, 100}, 60, 4, support::standard_handle(4), 1, 0.02)})
                .handles_on_axis,
            0u);

  Outline kinked = circle;
  kinked.nodes[1].handle_after = kinked.nodes[1].handle_after + Point{0, 3};
  EXPECT_EQ(support::score({circle}, {kinked}).kinks, 1u);
  kinked.nodes[1].handle_after = kinked.nodes[1].at + Point{-20, -20};
  const support::Score corner = support::score({circle}, {kinked});
  EXPECT_EQ(corner.false_corners, 1u);
  EXPECT_EQ(corner.start_off_corner, 1u);

  Outline wavy = circle;  // one arc cut in two with its middle pushed in: two new changes of direction
  const Cubic c = circle.segment(0);
  const Point middle = support::at(c, 0.5) - Point{8, 8}, along{-10, 10};
  wavy.nodes.insert(wavy.nodes.begin() + 1, Node{middle - along, middle, middle + along, true, Reason::added});
  EXPECT_EQ(support::score({circle}, {wavy}).bumps, 2u);

  Outline crossed = circle;
  crossed.nodes[2].handle_before = {400, 300};
  crossed.nodes[1].handle_after = {-300, 300};
  EXPECT_EQ(support::score({circle}, {crossed}).crossing + support::score({circle}, {crossed}).missing(), 1u);
}

TEST(Coverage, SumsToTheArea) {
  // Area of a disc and of a square whose edges cut pixels: exact area coverage must give it back whole.
  const auto ink = [](const std::vector<Outline>& o) {
    double sum = 0;
    for (const float v : support::coverage(200, 200, o).values) sum += v;
    return sum;
  };
  EXPECT_NEAR(ink({support::circle({100.3, 99.6}, 70.2, 4, 0.5517784778)}), 3.14159265 * 70.2 * 70.2,
              0.01);  // handle of the exact area
  EXPECT_NEAR(ink({support::polygon({{10.25, 20.5}, {110.75, 20.5}, {110.75, 90.125}, {10.25, 90.125}})}),
              100.5 * 69.625, 0.01);
  EXPECT_NEAR(ink({support::polygon({{50, 10}, {120, 83}, {31, 170}})}), 0.5 * std::abs(70.0 * 160 + 19 * 73), 0.01);
  const support::Field field =
      support::coverage(20, 20, {support::polygon({{3.5, 4}, {9, 4}, {9, 8.25}, {3.5, 8.25}})});
  EXPECT_FLOAT_EQ(field.at(3, 5), 0.5f);
  EXPECT_FLOAT_EQ(field.at(5, 8), 0.25f);
  EXPECT_FLOAT_EQ(field.at(3, 8), 0.125f);
  EXPECT_NEAR(field.at(10, 5), 0, 1e-6);
}

// The classic that the benchmark compares with must itself be right, or the comparison flatters.
TEST(RecursiveSplit, HoldsItsToleranceAndFindsASingleCubic) {
  const Cubic arch{Point{20, 200}, {100, 90}, {220, 90}, {300, 200}};
  const Outline shape = support::outline_from({arch, {arch[3], arch[3], arch[0], arch[0]}});
  const support::Polyline points = support::points_of(shape, 0.5);
  std::size_t second = 0;
  while (!(points[second] == arch[3])) ++second;
  EXPECT_EQ(support::recursive_split(points, {0, second}, 4).nodes.size(), 2u);
  const support::Polyline circle = support::circle_points({200, 200}, 150, 0.5);
  std::size_t before = 1000;
  for (const double tolerance : {0.05, 0.5, 5.0}) {
    const Outline fitted = support::recursive_split(circle, {}, tolerance);
    EXPECT_LE(measure(fitted, circle).max_px, 1.05 * tolerance);
    EXPECT_LE(fitted.nodes.size(), before);
    before = fitted.nodes.size();
  }
}

}  // namespace
}  // namespace batten
