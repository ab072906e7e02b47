// The bound may never exceed a count that is known to be possible: outlines cut from known cubics, with and without
// noise.
#include "minimise/bound_segments.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "base/cubic.h"
#include "batten/convert.h"
#include "support/shapes.h"

namespace batten {
namespace {

struct Drawn {
  SpacedLoop loop;
  DraftLoop draft;  // the known cubics, each cut in three: more segments than needed
};

// Smooth cubics one after the other, closed by two straights from corner to corner below them.
Drawn drawn_from(const std::vector<Cubic>& cubics, double limit_px, double noise_px, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> off(-noise_px, noise_px);
  std::vector<Point> points;
  Drawn out;
  std::vector<double> arcs;
  double arc = 0;
  const auto add = [&](Point p) {
    if (!points.empty()) arc += distance(points.back(), p);
    points.push_back(p);
  };
  const auto node = [&](Point at, bool corner) {
    DraftNode j;
    j.at = j.anchor = at, j.corner = corner, j.reason = corner ? Reason::corner : Reason::added;
    out.draft.nodes.push_back(j), arcs.push_back(arc);
  };
  constexpr int samples = 240;
  for (std::size_t k = 0; k < cubics.size(); ++k)
    for (int i = 0; i < samples; ++i) {
      const double t = i / double(samples);
      const Point p = evaluate(cubics[k], t);
      add(p + off(random) * left_of(unit(first_derivative(cubics[k], t))));
      if (i % (samples / 3) == 0) {
        node(p, k == 0 && i == 0);
        const Cubic part = split(split(cubics[k], t).second, (1 / 3.0) / (1 - t)).first;
        DraftSegment q;
        q.start.handle_px = distance(part[0], part[1]), q.end.handle_px = distance(part[2], part[3]);
        q.start.angle_rad = angle_of(start_tangent(part)), q.end.angle_rad = angle_of(end_tangent(part));
        out.draft.nodes.back().angle = q.start.angle_rad;
        out.draft.segments.push_back(q);
      }
    }
  const Point a = cubics.back()[3], c{cubics.front()[0].x, a.y + 400};
  const Point straights[] = {a, {a.x, a.y + 400}, c};
  for (int k = 0; k < 3; ++k) {
    const Point to = k < 2 ? straights[k + 1] : cubics.front()[0];
    for (int i = 0; i < 200; ++i) {
      add(straights[k] + (i / 200.0) * (to - straights[k]));
      if (i > 0) continue;
      node(straights[k], true);
      DraftSegment q;
      q.straight = true;
      out.draft.segments.push_back(q);
    }
  }
  const double whole = arc + distance(points.back(), points.front());
  out.loop.curve = resample(points, 0.5);
  out.loop.limit_px = out.loop.tolerance_px = limit_px;
  out.loop.rounding_px = 0.2, out.loop.correlation_px = 2;
  for (std::size_t i = 0; i < arcs.size(); ++i) out.draft.nodes[i].arc = arcs[i] * out.loop.curve.length_px() / whole;
  return out;
}

// n cubics, smooth one after the other, handles and turns at random.
std::vector<Cubic> random_cubics(int n, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit_interval(0, 1);
  std::vector<Cubic> out;
  Point at{100, 300};
  double angle = -0.5;
  for (int k = 0; k < n; ++k) {
    const double next = 1.2 * (unit_interval(random) - 0.5);
    const Point to = at + Point{110 + 60 * unit_interval(random), 80 * (unit_interval(random) - 0.5)};
    const double reach = distance(at, to);
    const auto handle = [&] { return reach * (0.2 + 0.3 * unit_interval(random)); };
    out.push_back({at, at + handle() * direction(angle), to - handle() * direction(next), to});
    at = to, angle = next;
  }
  return out;
}

TEST(BoundSegments, NeverAboveACountKnownToBePossible) {
  int informative = 0;
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const int n = 1 + int(seed % 4);
    const std::vector<Cubic> cubics = random_cubics(n, seed);
    for (const double share : {0.0, 0.5, 0.95}) {  // noise as a share of the limit
      const double limit = seed % 2 ? 0.3 : 1.0;
      const Drawn d = drawn_from(cubics, limit, share * limit, seed);
      const LowerBound least = bound_of(d.loop, d.draft, false);
      const std::size_t possible = std::size_t(n) + 3;
      EXPECT_LE(least.proven, possible) << "seed " << seed << " noise " << share;
      EXPECT_LE(least.numerical, possible) << "seed " << seed << " noise " << share;
      EXPECT_LE(least.proven, least.numerical);
      EXPECT_GE(least.proven, 4u);  // four corners
      informative += least.numerical > 4;
    }
  }
  EXPECT_GE(informative, 6);  // otherwise the test says nothing
}

// Three periods of a wave turn back six times; a cubic does so twice: at least three cubics by the degree alone.
TEST(BoundSegments, AWaveNeedsThreeByItsDegree) {
  std::vector<Cubic> cubics;
  for (int k = 0; k < 6; ++k) {
    const double x = 50 + 60 * k, side = k % 2 ? 1 : -1;
    cubics.push_back({Point{x, 200}, {x + 22, 200 + side * 70}, {x + 38, 200 + side * 70}, {x + 60, 200}});
  }
  const LowerBound least = bound_of(drawn_from(cubics, 0.5, 0, 1).loop, drawn_from(cubics, 0.5, 0, 1).draft, false);
  EXPECT_GE(least.proven, 3u + 3u);
  EXPECT_LE(least.numerical, 6u + 3u);
  EXPECT_EQ(least.argument, LowerBound::Argument::degree);
}

// A circle of 500 tolerances is possible with three smooth cubics (up to 1298.0: Dokken, Daehlen, Lyche, Morken, CAGD
// 7, 1990, scaled), and no smooth closed outline with one.
TEST(BoundSegments, ARing) {
  Options options;
  options.tolerance_px = 0.5, options.extremes = Options::Extremes::free;
  const auto result = fit(std::vector<std::vector<Point>>{support::circle_points({260, 260}, 250, 0.5)}, options);
  ASSERT_TRUE(result.ok());
  EXPECT_GE(result->report.least.proven, 2u);
  EXPECT_LE(result->report.least.numerical, 3u);
  EXPECT_LE(result->report.least.numerical, result->report.segments);
}

TEST(BoundSegments, NodesThatHaveToBeThereAreProof) {
  const auto result = fit(std::vector<std::vector<Point>>{support::circle_points({60, 60}, 40, 0.5)});
  ASSERT_TRUE(result.ok());
  EXPECT_EQ(result->report.segments, 4u);
  EXPECT_EQ(result->report.least.proven, 4u);
  EXPECT_EQ(result->report.least.argument, LowerBound::Argument::fixed_nodes);
  EXPECT_EQ(result->report.nodes_by_reason[std::size_t(Reason::extreme_left)], 1u);
}

}  // namespace
}  // namespace batten
