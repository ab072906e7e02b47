#include "fit/segment_data.h"

#include <gtest/gtest.h>

#include "support/drafts.h"
#include "support/random.h"

namespace batten {
namespace {

TEST(SegmentData, PointsLieBetweenTheArcsAndWeighLittleInCornerZones) {
  const SpacedLoop loop = support::exact_loop({{0, 0}, {100, 0}, {100, 50}, {0, 50}});
  const SegmentData data = points_between(loop, 290, 40, 5, 0, 2);  // across the start of the loop
  ASSERT_EQ(data.points.size(), 25u);                               // 50 px on, one each 2 px
  for (std::size_t i = 0; i < 25; ++i) {
    EXPECT_LT(distance(data.points[i], loop.curve.at(290 + 2 * (double(i) + 0.5))), 1e-9);
    EXPECT_EQ(data.weights[i], 2 * (double(i) + 0.5) < 5 ? corner_zone_weight : 1);
  }
  EXPECT_EQ(points_between(loop, 10, 13, 0, 0, 2).points.size(), 10u) << "a short segment has ten all the same";
}

TEST(SegmentError, AgreesWithEverySampleAgainstEveryOther) {
  support::Random r("SegmentError", "brute");
  const support::Polyline points = support::ellipse_points({200, 200}, 150, 90, 0.2, 0.1);
  for (int k = 0; k < 20; ++k) {
    const SpacedLoop loop = support::exact_loop(points);
    Outline o = support::circle({200, 200}, 120, 4, support::standard_handle(4));
    DraftLoop d = support::draft_of(loop, o);
    for (std::size_t i = 0; i < 4; ++i) {
      DraftNode& j = d.nodes[i];
      j.arc = loop.curve.length_px() * (double(i) + 0.1) / 4;
      const LocalFit f = local_quadratic(loop.curve, j.arc - 3, j.arc + 3, j.arc);
      j.at = f.at, j.angle = angle_of(f.tangent);
    }
    const std::size_t segment = std::size_t(k) % 4, next = d.next(segment);
    const double chord = distance(d.nodes[segment].at, d.nodes[next].at);
    d.segments[segment].start.handle_px = chord * r.uniform(0.25, 0.5),
    d.segments[segment].end.handle_px = chord * r.uniform(0.25, 0.5);
    const Cubic c = cubic_of(d, segment);
    std::vector<Point> on_curve, on_loop;
    for (int i = 0; i <= 800; ++i) on_curve.push_back(support::at(c, i / 800.0));
    const double from = d.nodes[segment].arc, way = loop.curve.ahead(from, d.nodes[next].arc);
    for (double u = 0; u <= way; u += 0.2) on_loop.push_back(loop.curve.at(from + u));
    double brute = 0;
    for (const auto& [a, b] : {std::pair{&on_curve, &on_loop}, {&on_loop, &on_curve}})
      for (Point p : *a) {
        double best = 1e9;
        for (Point q : *b) best = std::min(best, distance(p, q));
        brute = std::max(brute, best);
      }
    ASSERT_GT(brute, 0.3);
    EXPECT_NEAR(segment_error(loop, d, segment).max_px, brute, 0.02 * brute + 0.03);
  }
}

// A level segment of 30 px between corners whose zones meet, over a bump of a band of 8 px: half a band lies within
// what two sides that run together explain, and more does not.
TEST(SegmentError, WhatAZoneDoesNotExplainCounts) {
  for (const double bump_px : {3.5, 9.0}) {
    std::vector<Point> points{{0, 0}};
    for (double x = 0; x <= 30; x += 0.5) points.push_back({100 + x, bump_px * std::sin(pi * x / 30)});
    points.insert(points.end(), {{230, 0}, {230, 100}, {0, 100}});
    SpacedLoop loop = support::exact_loop(points);
    loop.kind = Kind::outlined, loop.band_px = loop.scale_px = 8;
    DraftLoop d =
        support::draft_of(loop, support::polygon({{100, 0}, {130, 0}, {230, 0}, {230, 100}, {0, 100}, {0, 0}}));
    for (DraftNode& node : d.nodes) node.zone_px = 20;
    EXPECT_NEAR(segment_error(loop, d, 0).max_px, std::max(0., bump_px - 4), 0.1);
  }
}

// A spike 4.9 px high beside a line of 600 px, which is looked at every 1.5 px: between two looks its flank falls by up
// to 0.3 px.
TEST(SegmentError, APeakBetweenTwoSamplesIsFoundWhereItMayDecide) {
  for (const double at : {300.0, 300.3, 300.6, 300.9, 301.2}) {
    SpacedLoop loop =
        support::exact_loop({{0, 0}, {at - 10, 0}, {at, -4.9}, {at + 10, 0}, {600, 0}, {600, 90}, {0, 90}}, 5);
    const DraftLoop d = support::draft_of(loop, support::polygon({{0, 0}, {600, 0}, {600, 90}, {0, 90}}));
    EXPECT_NEAR(segment_error(loop, d, 0).max_px, 4.9, 0.06) << at;  // spacing the loop rounds the tip by 0.05
  }
}

TEST(SegmentError, ASpurAlongANeighbouringWallIsNotExcused) {
  // Two walls 4 px apart; a segment of the first one runs over to the second and back.
  const SpacedLoop loop = support::exact_loop({{0, 0}, {120, 0}, {120, 4}, {0, 4}});
  DraftLoop d = support::draft_of(loop, support::polygon({{0, 0}, {120, 0}, {120, 4}, {0, 4}}));
  EXPECT_LT(segment_error(loop, d, 0).max_px, 0.01);
  d.segments[0].straight = false, d.segments[0].start.handle_px = d.segments[0].end.handle_px = 40;
  d.segments[0].start.angle_rad = std::atan2(5.3, 40),
  d.segments[0].end.angle_rad = -std::atan2(5.3, 40);  // 4 px off half way
  EXPECT_GT(segment_error(loop, d, 0).max_px, 3.5);
}

TEST(ArmAt, ReadsTheDirectionOnTheArmNotInTheRounding) {
  // A right angle whose corner the pixels have rounded by 3 px.
  support::Polyline p = {{0, 0}};
  for (int k = 0; k <= 20; ++k) p.push_back(Point{97, 3} + 3 * direction(-pi / 2 + k * pi / 40));
  p.insert(p.end(), {{100, 100}, {0, 100}});
  SpacedLoop loop = support::exact_loop(p);
  DraftNode corner;
  corner.corner = true, corner.at = {100, 0}, corner.zone_px = 6;
  corner.arc = nearest_arc(loop.curve, {99, 1}, 98, 20);
  EXPECT_NEAR(degrees(arm_at(loop, corner, 90, false).angle), 0, 0.5);
  EXPECT_NEAR(degrees(arm_at(loop, corner, 90, true).angle), 90, 0.5);
  EXPECT_GT(arm_at(loop, corner, 8, true).sd_rad, arm_at(loop, corner, 90, true).sd_rad)
      << "a segment hardly longer than the zone";
}

TEST(TurningSense, SaysWhichWayAStretchBends) {
  support::Polyline ring = support::circle_points({0, 0}, 60, 0.2);
  const SpacedLoop clockwise = support::exact_loop(ring);
  EXPECT_EQ(turning_sense(clockwise, 10, 120), 1);
  std::reverse(ring.begin(), ring.end());
  EXPECT_EQ(turning_sense(support::exact_loop(ring), 10, 120), -1);
  support::Polyline wave;  // one period of a sine is an S between its crests
  for (int i = 0; i <= 400; ++i) wave.push_back({i * 0.5, 30 * std::sin(i * 0.5 * pi / 100)});
  wave.insert(wave.end(), {{200, 100}, {0, 100}});
  EXPECT_EQ(turning_sense(support::exact_loop(wave), 5, 225), 0);
  EXPECT_EQ(turning_sense(support::exact_loop({{0, 0}, {200, 0}, {200, 50}, {0, 50}}), 10, 150), 0);
}

}  // namespace
}  // namespace batten
