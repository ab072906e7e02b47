#include "structure/find_straights.h"

#include <gtest/gtest.h>

#include "support/drafts.h"
#include "support/random.h"

namespace batten {
namespace {

std::vector<Straight> straights(const SpacedLoop& loop) {
  const Job job;
  Progress progress(job, Stage::structure, 0, 1);
  const SpacedLoops loops{{loop}};
  const auto corners = find_corners(loops, {}, 0, progress);
  const auto found = find_straights(loops, *corners, progress);
  EXPECT_TRUE(found.ok());
  return found->of_loop.at(0);
}

support::Polyline stadium(double half_length, double radius) {
  support::Polyline p;
  for (int k = 0; k <= 200; ++k) p.push_back(Point{half_length, 0} + radius * direction(-pi / 2 + pi * k / 200));
  for (int k = 0; k <= 200; ++k) p.push_back(Point{-half_length, 0} + radius * direction(pi / 2 + pi * k / 200));
  return p;
}

TEST(FindStraights, ABoxHasFourAndTheyLieOnTheAxes) {
  const auto found = straights(support::exact_loop({{10, 10}, {110, 10}, {110, 60}, {10, 60}}));
  ASSERT_EQ(found.size(), 4u);
  for (const Straight& s : found) {
    EXPECT_NE(s.level, s.vertical);
    EXPECT_EQ(s.level, s.a.y == s.b.y);
    EXPECT_EQ(s.vertical, s.a.x == s.b.x);
    EXPECT_NEAR(s.length_px(), s.level ? 100 : 50, 1);
  }
}

TEST(FindStraights, SlantingSidesAreNotPutOnAnAxis) {
  // 5 degrees is drawn on purpose; a tenth of a degree over 100 px is 0.17 px and is not.
  for (const auto& [tilt, on_axis] : {std::pair{5.0, false}, {0.1, true}}) {
    support::Polyline box;
    for (Point p : {Point{0, 0}, {100, 0}, {100, 60}, {0, 60}})
      box.push_back(p.x * direction(radians(tilt)) + p.y * left_of(direction(radians(tilt))));
    const auto found = straights(support::exact_loop(box));
    ASSERT_EQ(found.size(), 4u);
    for (const Straight& s : found) EXPECT_EQ(s.level || s.vertical, on_axis) << tilt;
  }
}

TEST(FindStraights, TheSidesOfAStadiumButNotItsRounds) {
  const auto found = straights(support::exact_loop(stadium(60, 40)));
  ASSERT_EQ(found.size(), 2u);
  for (const Straight& s : found) {
    EXPECT_TRUE(s.level);
    // An arc of radius R leaves its tangent by h within sqrt(2 R h): an overhang of at most that much at 0.15 px.
    EXPECT_NEAR(s.length_px(), 120, 2 * std::sqrt(2 * 40 * 0.3));
    EXPECT_GE(s.length_px(), 119);
    EXPECT_NEAR(std::abs(s.a.y), 40, 0.1);
  }
}

TEST(FindStraights, ArcsHaveNone) {
  for (const double radius : {12.0, 60.0, 300.0})
    EXPECT_TRUE(straights(support::exact_loop(support::circle_points({0, 0}, radius, 0.1))).empty()) << radius;
  EXPECT_TRUE(straights(support::exact_loop(support::ellipse_points({0, 0}, 200, 60, 0.3, 0.1))).empty());
}

TEST(FindStraights, AWobblyPencilLineIsStraightAllTheSame) {
  support::Random r("FindStraights", "wobble");
  int seen = 0, on_axis = 0;
  for (int k = 0; k < 10; ++k) {
    SpacedLoop loop = support::exact_loop({{0, 0}, {200, 0}, {200, 120}, {0, 120}}, 1.5);
    loop.curve = resample(loop.curve.points, 1);
    loop.kind = Kind::outlined, loop.sigma_px = 0.4, loop.band_px = 6, loop.scale_px = 6, loop.rounding_px = 1.8;
    ArcLoop noise = loop.curve;  // alike over some 20 px, as the errors of a band are
    for (Point& p : noise.points) p = {r.normal(), r.normal()};
    noise = smooth(noise, 8);
    double sum2 = 0;
    for (Point p : noise.points) sum2 += norm2(p) / (2 * double(noise.size()));
    for (std::size_t i = 0; i < noise.size(); ++i)
      loop.curve.points[i] = loop.curve.points[i] + (loop.sigma_px / std::sqrt(sum2)) * noise.points[i];
    for (const Straight& s : straights(loop)) ++seen, on_axis += s.level || s.vertical;
  }
  EXPECT_GE(seen, 34) << "of 40 sides";
  EXPECT_LE(seen, 40);
  EXPECT_GE(on_axis, seen - 2);
}

TEST(FindStraights, NeverOverlap) {
  const auto found = straights(support::exact_loop({{0, 0}, {90, 0}, {120, 8}, {200, 60}, {120, 110}, {0, 90}}));
  ASSERT_GE(found.size(), 5u);
  for (std::size_t i = 0; i + 1 < found.size(); ++i) EXPECT_LE(found[i].to, found[i + 1].from + 1e-9);
}

}  // namespace
}  // namespace batten
