#include "finish/land_ends.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/cubic.h"

namespace batten {
namespace {

SpacedLoop spaced(const std::vector<Point>& points, LineEnd start = {}, LineEnd end = {}) {
  SpacedLoop loop;
  loop.curve = resample_line(points, 1, 30);
  loop.kind = Kind::line, loop.band_px = 6, loop.limit_px = 1;
  loop.start = start, loop.end = end;
  return loop;
}
Outline straight(Point a, Point b) {
  Outline o;
  o.nodes = {{a, a, a, false, Reason::line_end}, {b, b, b, false, Reason::line_end}};
  o.closed = false, o.kind = Kind::line;
  return o;
}
LineEnd on(int loop) {
  LineEnd e;
  e.on_loop = loop;
  return e;
}

// A level straight ends on a cubic, on which its end has to be found: x where the cubic has that y.
TEST(LandEnds, AStraightKeepsItsDirection) {
  Outline curve;
  curve.nodes = {{{100, 0}, {100, 0}, {140, 30}, false}, {{90, 70}, {120, 100}, {120, 100}, false}};
  curve.closed = false;
  const SpacedLoops loops{{spaced({{100, 0}, {120, 100}}), spaced({{0, 40}, {110, 40}}, {}, on(0))}};
  Drawing d;
  d.outlines = {curve, straight({0, 40}, {112, 40})};
  land_ends(loops, 0, &d);
  const Node& end = d.outlines[1].nodes[1];
  EXPECT_EQ(end.at.y, 40);
  EXPECT_EQ(end.handle_before, end.at);
  double least = 1e300;
  for (int i = 0; i <= 100000; ++i) least = std::min(least, distance(end.at, evaluate(curve.segment(0), i / 1e5)));
  EXPECT_LT(least, 0.001);
  EXPECT_EQ(d.outlines[1].nodes[0].at, (Point{0, 40}));
}

TEST(LandEnds, HandlesMoveAlongAndJunctionsAreOnePlace) {
  LineEnd a = on(0), b;
  a.junction = b.junction = 3;
  const SpacedLoops loops{
      {spaced({{0, 0}, {100, 0}}), spaced({{50, 60}, {50, 2}}, {}, a), spaced({{52, 2}, {90, 50}}, b)}};
  Outline bent = straight({52, 2}, {90, 50});
  bent.nodes[0].handle_after = {60, 20};
  Drawing d;
  d.outlines = {straight({0, 0}, {100, 0}), straight({50, 60}, {50, 2}), bent};
  land_ends(loops, 0, &d);
  EXPECT_EQ(d.outlines[1].nodes[1].at, (Point{50, 0}));
  EXPECT_EQ(d.outlines[2].nodes[0].at, (Point{50, 0}));
  EXPECT_EQ(d.outlines[2].nodes[0].handle_after, (Point{58, 18}));
}

// A line that comes at 25 degrees and ends 9 px short of a curve is led on to it where bands are that wide, and else
// lands beside its end.
TEST(LandEnds, ALineIsLedOnNoFartherThanBandsAreWide) {
  const Point towards = direction(radians(25.0)), from = Point{100, 0} - 80 * towards, to = Point{100, 0} - 9 * towards;
  const auto lands_at = [&](double band_px) {
    SpacedLoops loops{{spaced({{0, 0}, {200, 0}}), spaced({from, to}, {}, on(0))}};
    for (SpacedLoop& loop : loops.loops) loop.band_px = band_px;
    Drawing d;
    d.outlines = {straight({0, 0}, {200, 0}), straight(from, to)};
    land_ends(loops, 0, &d);
    return d.outlines[1].nodes[1].at;
  };
  EXPECT_LT(distance(lands_at(12), {100, 0}), 1e-9);
  EXPECT_LT(distance(lands_at(3), {to.x, 0}), 1e-6);
}

TEST(LandEnds, WhatIsFarOffStaysAndAGridComesFirst) {
  const SpacedLoops loops{
      {spaced({{0, 0}, {100, 7}}), spaced({{50, 60}, {50, 30}}, {}, on(0)), spaced({{30, 60}, {30, 5}}, {}, on(0))}};
  Drawing d;
  d.outlines = {straight({0, 0}, {100, 7}), straight({50, 60}, {50, 30}), straight({30, 60}, {30, 5})};
  land_ends(loops, 2, &d);
  EXPECT_EQ(d.outlines[1].nodes[1].at, (Point{50, 30}));
  EXPECT_EQ(d.outlines[2].nodes[1].at, (Point{30, 2}));  // the curve is at 2.1
}

}  // namespace
}  // namespace batten
