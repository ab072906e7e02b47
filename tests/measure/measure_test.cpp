#include "batten/measure.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <numbers>

#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

using support::Polyline;
using support::Random;

double to_edge(Point p, Point a, Point b) {
  const Point d = b - a, v = p - a;
  const double dd = d.x * d.x + d.y * d.y;
  const double t = dd > 0 ? std::clamp((d.x * v.x + d.y * v.y) / dd, 0.0, 1.0) : 0;
  const Point r = v - t * d;
  return std::hypot(r.x, r.y);
}

double to_ring(Point p, const Polyline& ring) {
  double best = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < ring.size(); ++i) best = std::min(best, to_edge(p, ring[i], ring[(i + 1) % ring.size()]));
  return best;
}

/// Every sample against every edge, both ways: right wherever no other part of the shape comes near.
Deviation brute_force(const Polyline& a, const Polyline& b) {
  Deviation d;
  std::vector<double> all;
  for (const Point p : a) all.push_back(to_ring(p, b));
  for (const Point p : b) all.push_back(to_ring(p, a));
  double sum = 0;
  for (const double v : all) sum += v * v, d.max_px = std::max(d.max_px, v);
  d.rms_px = std::sqrt(sum / double(all.size()));
  std::sort(all.begin(), all.end());
  d.p95_px = all[all.size() * 95 / 100];
  return d;
}

/// A round shape with lobes, drawn by n cubics; and points on the same shape moved off it by a slow wobble.
Outline lobed(Random& random, double radius, int n) {
  Outline outline;
  std::vector<Point> p;
  for (int i = 0; i < n; ++i) {
    const double a = 2 * std::numbers::pi * i / n, r = radius * random.uniform(0.75, 1.25);
    p.push_back(Point{400, 300} + r * Point{std::cos(a), std::sin(a)});
  }
  for (int i = 0; i < n; ++i) {
    const Point along = (1.0 / 6) * (p[std::size_t(i + 1) % p.size()] - p[std::size_t(i + n - 1) % p.size()]);
    outline.nodes.push_back(
        {p[std::size_t(i)] - along, p[std::size_t(i)], p[std::size_t(i)] + along, true, Reason::added});
  }
  return outline;
}

Polyline wobbled(const Polyline& points, Random& random, double size_px) {
  Polyline result = points;
  const double phase = random.uniform(0, 6.28), lobes = 3 + random.below(6);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Point d = points[(i + 1) % points.size()] - points[(i + points.size() - 1) % points.size()];
    const double wave = size_px * std::sin(phase + 2 * std::numbers::pi * lobes * double(i) / double(points.size()));
    result[i] = points[i] + (wave / std::hypot(d.x, d.y)) * Point{-d.y, d.x};
  }
  std::rotate(result.begin(), result.begin() + std::ptrdiff_t(random.below(int(result.size()))), result.end());
  return result;
}

TEST(Measure, PoolsTheSamplesOfSeveralOutlines) {
  // A square 1 px larger all round, thirty times as long as one 9 px larger: 95 % of all the length is within 1 px.
  const auto square = [](double side) { return Polyline{{0, 0}, {side, 0}, {side, side}, {0, side}}; };
  const auto outline = [](double side, double out) {
    Outline o;
    for (const Point p : {Point{-out, -out}, {side + out, -out}, {side + out, side + out}, {-out, side + out}})
      o.nodes.push_back({p, p, p, false, Reason::corner});
    return o;
  };
  std::vector<DistanceSample> samples;
  const Deviation small = measure(outline(100, 9), square(100), 0.25, &samples);
  EXPECT_DOUBLE_EQ(percentile95_px(samples), small.p95_px);
  // 9 px along the sides; the 72 px beside its corners lie hypot(9, u) off, u = 0..9; 43.6 of all the 872 px may be
  // farther.
  EXPECT_NEAR(small.p95_px, std::hypot(9, 9 * (1 - 43.6 / 72)), 0.05);
  const Deviation large = measure(outline(3000, 1), square(3000), 0.25, &samples);
  EXPECT_NEAR(large.p95_px, 1, 0.01);
  EXPECT_NEAR(percentile95_px(samples), 1, 0.01) << "of 25,000 px, 850 lie farther off";
  EXPECT_TRUE(std::isinf(percentile95_px({})));
}

TEST(Measure, AgreesWithBruteForceOnOpenShapes) {
  int effective = 0;
  for (int c = 0; c < 24; ++c) {
    Random random("Measure", "AgreesWithBruteForceOnOpenShapes", std::uint64_t(c));
    const Outline outline = lobed(random, random.uniform(30, 180), 5 + random.below(8));
    const double wobble = random.uniform(0.05, 4);
    Polyline polyline = wobbled(support::points_of(outline, random.uniform(0.5, 1.5)), random, wobble);
    if (c % 3 == 0) std::reverse(polyline.begin(), polyline.end());
    const Deviation d = measure(outline, polyline), expected = brute_force(support::points_of(outline, 0.25), polyline);
    EXPECT_NEAR(d.max_px, expected.max_px, 0.02 + 0.005 * expected.max_px) << "case " << c;
    EXPECT_NEAR(d.rms_px, expected.rms_px, 0.02 + 0.02 * expected.rms_px) << "case " << c;
    EXPECT_NEAR(d.p95_px, expected.p95_px, 0.02 + 0.03 * expected.p95_px) << "case " << c;
    EXPECT_GE(d.max_px, d.p95_px);
    EXPECT_GE(d.p95_px, d.rms_px * 0.9);
    effective += expected.max_px > 0.5 * wobble;  // the wobble was really there to be seen
  }
  EXPECT_GE(effective, 20);
}

// Letters have hairlines, counters close to walls and tight rounds: the matching must not lose its way in any of them.
TEST(Measure, AgreesWithBruteForceOnLetters) {
  int outlines = 0;
  for (const support::FontCase& c : support::font_cases(U"a&")) {
    for (const Outline& o : support::glyph(support::font_file(c.font), c.character, 300, 20)) {
      Random random("Measure", text_of(c), std::uint64_t(outlines++));
      Polyline points = support::points_of(o, 1);
      std::rotate(points.begin(), points.begin() + std::ptrdiff_t(random.below(int(points.size()))), points.end());
      EXPECT_LT(measure(o, points).max_px, 0.2) << text_of(c);  // chords of 1 px across rounds of 1 px
      const Outline shifted = support::moved(o, 1, 0, {1.5, 1});
      const double expected = brute_force(support::points_of(shifted, 0.5), points).max_px;
      EXPECT_NEAR(measure(shifted, points).max_px, expected, 0.1) << text_of(c);
    }
  }
  EXPECT_GE(outlines, 25) << "apt-get install fonts-goudybookletter fonts-texgyre fonts-ebgaramond fonts-cantarell";
}

TEST(Measure, ReportsThePlaceOfTheWorst) {
  Polyline square = support::points_of(support::polygon({{0, 0}, {200, 0}, {200, 200}, {0, 200}}), 1);
  for (Point& p : square)
    if (p.y == 200 && p.x >= 95 && p.x <= 105) p.y += 7;
  const Deviation d = measure(support::polygon({{0, 0}, {200, 0}, {200, 200}, {0, 200}}), square);
  EXPECT_NEAR(d.max_px, 7, 1e-9);
  EXPECT_NEAR(d.worst.x, 100, 5.01);
  EXPECT_NEAR(d.worst.y, 207, 1e-9);
}

// One-way distances miss this: a curve that runs off and comes back leaves every located point close to a curve.
TEST(Measure, SeesASpikeOfTheCurveAndASpikeOfThePoints) {
  const Polyline square = support::points_of(support::polygon({{0, 0}, {200, 0}, {200, 200}, {0, 200}}), 1);
  const Polyline spiked = {{0, 0}, {100, 0}, {100, -40}, {100, 0}, {200, 0}, {200, 200}, {0, 200}};
  EXPECT_NEAR(measure(support::polygon(spiked), square).max_px, 40, 1e-6);
  EXPECT_NEAR(measure(support::polygon({{0, 0}, {200, 0}, {200, 200}, {0, 200}}),
                      support::points_of(support::polygon(spiked), 1))
                  .max_px,
              40, 1e-6);
}

/// A U whose arms are `gap` apart; one side with a spur of `spur` px that runs along the other arm's wall.
TEST(Measure, ASpurAlongANeighbouringWallIsNotExcused) {
  const double gap = 6;
  const Polyline u = {{0, 0}, {40, 0}, {40, 150}, {40 + gap, 150}, {40 + gap, 0}, {86, 0}, {86, 200}, {0, 200}};
  const Polyline points = support::points_of(support::polygon(u), 1);
  EXPECT_LT(measure(support::polygon(u), points).max_px, 1e-9);
  // From (40, 40) across the gap, 60 px down along the other wall and back the same way.
  Polyline spurred = u;
  spurred.insert(spurred.begin() + 2, {{40, 20}, {40 + gap, 20}, {40 + gap, 80}, {40 + gap, 20}, {40, 20}});
  double nearest_wall = 0;  // what a search over all edges would have seen
  for (const Point p : support::points_of(support::polygon(spurred), 0.25))
    nearest_wall = std::max(nearest_wall, to_ring(p, u));
  EXPECT_LE(nearest_wall, gap / 2);
  EXPECT_GT(measure(support::polygon(spurred), points).max_px, gap * 0.99);
  EXPECT_GT(measure(support::polygon(u), support::points_of(support::polygon(spurred), 1)).max_px, gap * 0.99);
}

TEST(Measure, AHairpinCutShortIsSeen) {
  // A stem 4 px wide and 200 px long whose end is missing by 30 px.
  const Polyline whole = {{0, 0}, {200, 0}, {200, 4}, {0, 4}}, cut = {{0, 0}, {170, 0}, {170, 4}, {0, 4}};
  EXPECT_NEAR(measure(support::polygon(cut), support::points_of(support::polygon(whole), 1)).max_px, 30, 1e-6);
}

TEST(Measure, StartAndDirectionDoNotMatter) {
  Random random("Measure", "StartAndDirectionDoNotMatter");
  const Outline outline = lobed(random, 120, 9);
  const Polyline polyline = wobbled(support::points_of(outline, 1), random, 1.5);
  const Deviation base = measure(outline, polyline);
  for (int k = 1; k < 8; ++k) {
    Polyline turned = polyline;
    std::rotate(turned.begin(), turned.begin() + std::ptrdiff_t(turned.size() * std::size_t(k) / 8), turned.end());
    if (k % 2) std::reverse(turned.begin(), turned.end());
    EXPECT_NEAR(measure(outline, turned).max_px, base.max_px, 1e-9);
    EXPECT_NEAR(measure(support::reversed(outline), turned).max_px, base.max_px, 1e-9);
  }
}

struct CircleRow {
  int n;
  double standard_error, best_handle, best_error, free_error;
};
// Largest radial error of a unit circle from n equal cubics. Standard handle 4/3 tan(alpha/4): closed form
// sqrt(1 + 4/27 sin^6(alpha/4) / cos^2(alpha/4)) - 1 (Dokken, Daehlen, Lyche, Morken, CAGD 7, 1990; Goldapp, CAGD 8,
// 1991). Best handle with the nodes on the circle, n = 4: Mortensen, "Approximate a circle with cubic Bezier curves",
// 2012: c = 0.551915024494, and 0.027253 % for the standard handle. Free nodes: the latter scaled by 2 / (2 + e).
constexpr CircleRow circle_table[] = {{2, 1.8350e-2, 1.3157397401, 1.3195e-2, 9.0917e-3},
                                      {3, 1.5420e-3, 0.7680874104, 1.1126e-3, 7.7042e-4},
                                      {4, 2.7253e-4, 0.5519150244936, 1.9608e-4, 1.36246e-4},
                                      {6, 2.3864e-5, 0.3572199520, 1.7114e-5, 1.1932e-5},
                                      {8, 4.2455e-6, 0.2652058963, 3.0405e-6, 2.1228e-6}};

TEST(Measure, PublishedErrorsOfCircleArcs) {
  // At R = 1000 px chords of step s leave the circle by s^2 / 8000: 8e-6 px for the 0.25 px of the outline's samples.
  const double radius = 1000, chords = 8e-9;
  const Polyline truth = support::circle_points({1100, 1100}, radius, 0.1);
  for (const CircleRow& row : circle_table) {
    const double k = support::standard_handle(row.n), angle = std::numbers::pi / (2 * row.n);
    const double formula = std::sqrt(1 + 4.0 / 27 * std::pow(std::sin(angle), 6) / std::pow(std::cos(angle), 2)) - 1;
    EXPECT_NEAR(formula, row.standard_error, 1e-4 * row.standard_error);
    const auto error = [&](double handle, double node_radius) {
      return measure(support::circle({1100, 1100}, radius, row.n, handle, node_radius), truth).max_px / radius;
    };
    EXPECT_NEAR(error(k, 1), row.standard_error, 5e-4 * row.standard_error + chords) << row.n;
    EXPECT_NEAR(error(row.best_handle, 1), row.best_error, 5e-4 * row.best_error + chords) << row.n;
    EXPECT_NEAR(error(k, 2 / (2 + formula)), row.free_error, 5e-4 * row.free_error + chords) << row.n;
  }
}

// For short arcs the closed form above (Dokken, Daehlen, Lyche, Morken, CAGD 7, 1990) is 2/27 (alpha / 4)^6: halving an
// arc divides its error by about 2^6, by 64.19 from 90 degrees and by 64.01 from 45.
TEST(Measure, CircleErrorFallsWithTheSixthPower) {
  const Polyline truth = support::circle_points({1100, 1100}, 1000, 0.1);
  const auto error = [&](int n) {
    return measure(support::circle({1100, 1100}, 1000, n, support::standard_handle(n)), truth).max_px;
  };
  EXPECT_NEAR(error(4) / error(8), 64.19, 0.1);
  EXPECT_NEAR(error(3) / error(6), 1.5420e-3 / 2.3864e-5, 0.1);
}

TEST(Measure, EmptyAndBrokenInputIsInfinitelyFar) {
  const Outline square = support::polygon({{0, 0}, {9, 0}, {9, 9}, {0, 9}});
  const Polyline points = support::points_of(square, 1);
  EXPECT_TRUE(std::isinf(measure({}, points).max_px));
  EXPECT_TRUE(std::isinf(measure(square, {}).max_px));
  EXPECT_TRUE(std::isinf(measure(square, points, 0).max_px));
  EXPECT_TRUE(std::isinf(measure(square, points, std::nan("")).max_px));
  Polyline bad = points;
  bad[3].x = std::nan("");
  EXPECT_TRUE(std::isinf(measure(square, bad).max_px));
  Outline broken = square;
  broken.nodes[1].handle_after.y = std::numeric_limits<double>::infinity();
  EXPECT_TRUE(std::isinf(measure(broken, points).max_px));
  for (const double far : {1.1e9, -1e70, 1e300}) {  // numbers, but no places: their squares and lengths overflow
    broken.nodes[1].handle_after.y = far, bad[3].x = far;
    EXPECT_TRUE(std::isinf(measure(broken, points).max_px) && std::isinf(measure(square, bad).max_px)) << far;
    EXPECT_TRUE(deviation_along(broken, points).empty() && deviation_along(square, bad).empty()) << far;
  }
}

TEST(Measure, SmallAndDegenerateShapes) {
  const Polyline dot(12, Point{5, 5});
  EXPECT_DOUBLE_EQ(measure(support::polygon({{5, 5}, {5, 5}, {5, 5}}), dot).max_px, 0);
  EXPECT_NEAR(measure(support::polygon({{5, 9}}), dot).max_px, 4, 1e-12);
  EXPECT_NEAR(measure(support::circle({5, 5}, 2, 4, 0.5519), Polyline(3, Point{5, 5})).max_px, 2, 0.01);
  Outline far = support::circle({50, 50}, 20, 4, 0.5519);
  far.nodes[0].handle_after = {3e9, 3e9};  // a runaway handle: slow is not allowed, an exact answer is not needed
  EXPECT_GT(measure(far, support::circle_points({50, 50}, 20, 1)).max_px, 1e8);
}

TEST(Measure, IsFastEnoughToHaveTheLastWordOnEveryEdit) {
  Random random("Measure", "IsFastEnough");
  const Outline outline = lobed(random, 230, 16);
  const Polyline polyline = wobbled(support::points_of(outline, 1), random, 1);
  const auto start = std::chrono::steady_clock::now();
  double sum = 0;
  for (int i = 0; i < 20; ++i) sum += measure(outline, polyline).max_px;
  const double ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count() / 20;
  RecordProperty("milliseconds", std::to_string(ms));
  EXPECT_GT(sum, 0);
  EXPECT_LT(ms, 30) << polyline.size() << " px";  // 3 ms is the aim; tenfold for a busy machine and a debug build
}

TEST(Crossings, FigureOfEight) {
  // Two lobes through the middle, once away from any node and once exactly through two nodes at the same place.
  const Outline away = support::outline_from(
      {Cubic{Point{0, 50}, {0, 0}, {100, 100}, {100, 50}}, Cubic{Point{100, 50}, {100, 0}, {0, 100}, {0, 50}}});
  EXPECT_TRUE(crosses_itself(away));
  EXPECT_NEAR(signed_area_px2(away), 0, 1e-9);
  EXPECT_TRUE(crosses_itself(support::polygon({{0, 0}, {50, 50}, {100, 100}, {100, 0}, {50, 50}, {0, 100}})));
  EXPECT_FALSE(
      crosses_itself(support::polygon({{0, 0}, {50, 50}, {100, 0}, {100, 100}, {50, 50}, {0, 100}})));  // a touch
  EXPECT_FALSE(crosses_itself(support::circle({0, 0}, 50, 4, 0.5519)));
  EXPECT_FALSE(crosses_itself(support::polygon({{0, 0}, {10, 0}, {10, 10}})));
  const auto place = crossing_of(support::polygon({{0, 0}, {100, 50}, {100, 0}, {0, 50}}));
  ASSERT_TRUE(place.has_value());
  EXPECT_NEAR(place->x, 50, 1e-9);
  EXPECT_NEAR(place->y, 25, 1e-9);
  EXPECT_FALSE(crosses_itself({}));
}

TEST(Crossings, ALoopInsideOneSegmentIsSeen) {
  const Outline loop = support::outline_from(
      {Cubic{Point{0, 0}, {300, 100}, {-200, 100}, {100, 0}}, Cubic{Point{100, 0}, {100, 0}, {0, 0}, {0, 0}}});
  EXPECT_TRUE(crosses_itself(loop));
}

TEST(Crossings, AgreesWithAllPairs) {
  int crossing = 0, clear = 0;
  for (int c = 0; c < 60; ++c) {
    Random random("Crossings", "AgreesWithAllPairs", std::uint64_t(c));
    Polyline p;
    for (int i = 0, n = 4 + random.below(5); i < n; ++i) {
      const double a = 2 * std::numbers::pi * (i + random.uniform(-0.9, 0.9)) / n;
      p.push_back(random.uniform(20, 100) * Point{std::cos(a), std::sin(a)});
    }
    const auto side = [](Point a, Point b, Point q) { return (b.x - a.x) * (q.y - a.y) - (b.y - a.y) * (q.x - a.x); };
    bool expected = false;
    const std::size_t n = p.size();
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = i + 2; j < n; ++j) {
        if (i == 0 && j + 1 == n) continue;
        const Point a = p[i], b = p[(i + 1) % n], u = p[j], v = p[(j + 1) % n];
        expected |= side(a, b, u) * side(a, b, v) < 0 && side(u, v, a) * side(u, v, b) < 0;
      }
    EXPECT_EQ(crosses_itself(support::polygon(p)), expected) << "case " << c;
    (expected ? crossing : clear)++;
  }
  EXPECT_GE(crossing, 12);
  EXPECT_GE(clear, 12);
}

TEST(Crossings, EachOther) {
  const Outline a = support::circle({0, 0}, 50, 4, 0.5519);
  EXPECT_TRUE(cross_each_other(a, support::circle({60, 0}, 50, 4, 0.5519)));
  EXPECT_FALSE(cross_each_other(a, support::circle({0, 0}, 40, 4, 0.5519)));
  EXPECT_FALSE(cross_each_other(a, support::circle({200, 0}, 50, 4, 0.5519)));
  EXPECT_TRUE(cross_each_other(a, support::circle({0, 0}, 50, 2, support::standard_handle(2))) ||
              !cross_each_other(a, support::circle({0, 0}, 50.5, 4, 0.5519)));
  // Corner on corner: through each other, and only touching.
  EXPECT_TRUE(cross_each_other(support::polygon({{0, 0}, {10, 0}, {10, 10}, {0, 10}}),
                               support::polygon({{10, 10}, {5, 15}, {5, 5}, {20, 5}})));
  EXPECT_FALSE(cross_each_other(support::polygon({{0, 0}, {10, 0}, {10, 10}, {0, 10}}),
                                support::polygon({{10, 10}, {20, 10}, {20, 20}, {10, 20}})));
}

TEST(Area, ExactByGreen) {
  EXPECT_DOUBLE_EQ(signed_area_px2(support::polygon({{0, 0}, {30, 0}, {30, 20}, {0, 20}})),
                   600);  // clockwise on screen
  EXPECT_DOUBLE_EQ(signed_area_px2(support::reversed(support::polygon({{0, 0}, {30, 0}, {30, 20}, {0, 20}}))), -600);
  // The sector under a quarter arc with handles of length k has the area 1/2 + 3/5 k - 3/20 k^2 (own algebra). It is a
  // quarter of the unit disc's, pi / 4, for the following k.
  const double k = 2 - std::sqrt((22 - 5 * std::numbers::pi) / 3);
  EXPECT_NEAR(k, 0.5517784778, 1e-10);
  EXPECT_NEAR(signed_area_px2(support::circle({0, 0}, 1, 4, k)), std::numbers::pi, 1e-12);
  Random random("Area", "ExactByGreen");
  for (int c = 0; c < 10; ++c) {
    const Outline outline = support::moved(lobed(random, 100, 7), 1, 0, {1e5, 2e5});
    const Polyline p = support::points_of(outline, 0.02);
    double twice = 0;
    for (std::size_t i = 0; i < p.size(); ++i) {
      const Point a = p[i] - p[0], b = p[(i + 1) % p.size()] - p[0];
      twice += a.x * b.y - a.y * b.x;
    }
    EXPECT_NEAR(signed_area_px2(outline), twice / 2, 0.01);
  }
}

/// A circle by four cubics; 0.5522847 is the usual handle, 0.027 % off at most (Riskus, Information Technology and
/// Control 35, 2006).
Outline circle(Point c, double r, bool clockwise) {
  const double k = 0.5522847498 * r;
  Outline o;
  o.nodes = {{{c.x - r, c.y + k}, {c.x - r, c.y}, {c.x - r, c.y - k}},
             {{c.x - k, c.y - r}, {c.x, c.y - r}, {c.x + k, c.y - r}},
             {{c.x + r, c.y - k}, {c.x + r, c.y}, {c.x + r, c.y + k}},
             {{c.x + k, c.y + r}, {c.x, c.y + r}, {c.x - k, c.y + r}}};
  if (!clockwise) {
    std::reverse(o.nodes.begin(), o.nodes.end());
    for (Node& n : o.nodes) std::swap(n.handle_before, n.handle_after);
  }
  return o;
}

Polyline ring_of(Point c, double r) {
  Polyline ring;
  for (int i = 0; i < 720; ++i)
    ring.push_back(c + r * Point{std::cos(i * std::numbers::pi / 360), std::sin(i * std::numbers::pi / 360)});
  return ring;
}

TEST(DeviationAlong, IsTheDifferenceOfTheRadiiAndPositiveOnTheSideOfThePaper) {
  for (const double more : {-3.0, 2.0}) {
    const auto outer = deviation_along(circle({200, 150}, 100, true), ring_of({200, 150}, 100 + more));
    const auto counter = deviation_along(circle({200, 150}, 100, false), ring_of({200, 150}, 100 + more));
    ASSERT_EQ(outer.size(), 4u);
    for (std::size_t i = 0; i < 4; ++i) {
      EXPECT_GE(outer[i].size(), 39u) << "157 px of arc, a sample every 4 px at most";
      for (const double px : outer[i]) EXPECT_NEAR(px, more, 0.04);
      for (const double px : counter[i]) EXPECT_NEAR(px, -more, 0.04);
    }
  }
}

TEST(DeviationAlong, SaysWhereTheyDiffer) {
  // A square from 0 to 100; its right side stands at 104 in the polyline.
  Outline square;
  for (const Point p : {Point{0, 0}, Point{100, 0}, Point{100, 100}, Point{0, 100}})
    square.nodes.push_back({p, p, p, false});
  const auto along = deviation_along(square, Polyline{{0, 0}, {104, 0}, {104, 100}, {0, 100}}, 5);
  ASSERT_EQ(along.size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_EQ(along[i].size(), 20u);
  for (std::size_t k = 1; k < 20; ++k) {
    EXPECT_NEAR(along[0][k], 0, 1e-9);
    EXPECT_NEAR(along[1][k], 4, 1e-9) << "k/20 of the right side";
    EXPECT_NEAR(along[3][k], 0, 1e-9);
  }
  EXPECT_TRUE(deviation_along(square, Polyline{}).empty());
}

}  // namespace
}  // namespace batten
