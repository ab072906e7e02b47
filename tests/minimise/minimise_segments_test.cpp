#include "minimise/minimise_segments.h"

#include <gtest/gtest.h>

#include "fit/fit_cubic.h"
#include "fit/segment_data.h"
#include "fit/smooth_node.h"
#include "minimise/fit_segment.h"
#include "minimise/split_segment.h"
#include "support/drafts.h"
#include "support/random.h"

namespace batten {
namespace {

/// A curved side between two corners on top of a box; the draft has it as its first segment.
struct Side {
  SpacedLoop loop;
  DraftLoop draft;
};
Side side(const support::Polyline& curve, double limit_px) {
  support::Polyline ring = curve;
  const Point a = curve.front(), b = curve.back();
  ring.insert(ring.end(), {{b.x, 400}, {a.x, 400}});
  Side s{support::exact_loop(ring, limit_px), {}};
  const Point corners[] = {a, b, {b.x, 400}, {a.x, 400}};
  const std::size_t n = curve.size();
  for (Point p : corners) {
    DraftNode j;
    j.at = j.anchor = p, j.corner = true, j.reason = Reason::corner, j.zone_px = 0.3;  // as far as the spacing cuts it
    j.arc = nearest_arc(s.loop.curve, p, 0, s.loop.curve.length_px());
    s.draft.nodes.push_back(j);
    DraftSegment q;
    q.straight = s.draft.nodes.size() > 1;
    s.draft.segments.push_back(q);
  }
  DraftSegment& p = s.draft.segments[0];
  p.start.angle_rad = angle_of(curve[1] - curve[0]), p.end.angle_rad = angle_of(curve[n - 1] - curve[n - 2]);
  return s;
}

support::Polyline wave(double length, double height, double periods) {
  support::Polyline p;
  for (int i = 0; i <= 600; ++i) {
    const double u = i / 600.0;
    p.push_back({20 + length * u, 100 + height * std::sin(2 * pi * periods * u)});
  }
  return p;
}

int segments_before_the_box(const DraftLoop& d) { return int(d.size()) - 3; }

Result<Draft> minimise(const Side& s) {
  const Job job;
  Progress progress(job, Stage::minimise, 0, 1);
  return minimise_segments({{s.loop}}, {{s.draft}}, {}, progress);
}

TEST(MinimiseSegments, AKnownCubicStaysOne) {
  const Cubic curves[] = {{Point{20, 200}, {100, 110}, {220, 90}, {300, 180}},
                          {Point{20, 200}, {140, 60}, {180, 290}, {300, 150}}};
  for (const Cubic& c : curves) {
    support::Polyline points;
    for (int i = 0; i <= 1000; ++i) points.push_back(support::at(c, i / 1000.0));
    Side s = side(points, 0.02);
    const Job job;
    Progress progress(job, Stage::minimise, 0, 1);
    const auto counted = minimise_segments({{s.loop}}, {{s.draft}}, {}, progress);
    ASSERT_TRUE(counted.ok());
    ASSERT_EQ(counted->loops[0].size(), 4u);
    const Cubic back = cubic_of(counted->loops[0], 0);
    for (std::size_t k = 0; k < 4; ++k) EXPECT_LT(distance(back[k], c[k]), 1.5) << k;  // chords of 0.25 px: 1e-4 across
    EXPECT_LT(segment_error(s.loop, counted->loops[0], 0).max_px, 0.02);
  }
}

/// The number of cubics that a search through every set of the same candidates finds: dynamic programming must agree.
int fewest_by_brute_force(const Side& s, double limit_px, int candidates) {
  const DraftNode &a = s.draft.nodes[0], &b = s.draft.nodes[1];
  const double way = s.loop.curve.ahead(a.arc, b.arc);
  std::vector<DraftNode> nodes{a};
  for (int k = 1; k <= candidates; ++k)
    nodes.push_back(smooth_node(s.loop, a.arc + way * k / (candidates + 1), Reason::added));
  nodes.push_back(b);
  const std::size_t n = nodes.size();
  std::vector<std::vector<char>> holds(n, std::vector<char>(n, 0));
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = i + 1; j < n; ++j) {
      const double part = s.loop.curve.ahead(nodes[i].arc, nodes[j].arc);
      const SegmentData data = points_between(s.loop, nodes[i].arc, nodes[j].arc, nodes[i].zone_px, nodes[j].zone_px,
                                              std::max(s.loop.curve.step_px, part / 60));
      CubicTask task{data.points,
                     data.weights,
                     nodes[i].at,
                     nodes[j].at,
                     direction(i == 0 ? s.draft.segments[0].start.angle_rad : nodes[i].angle),
                     direction(j + 1 == n ? s.draft.segments[0].end.angle_rad : nodes[j].angle),
                     i == 0,
                     j + 1 == n,
                     false};
      double error = fit_cubic(task).max_px;
      task.minimax = true;
      error = std::min(error, fit_cubic(task).max_px);
      holds[i][j] = error <= limit_px;
    }
  int best = 1000;
  for (unsigned set = 0; set < 1u << candidates; ++set) {
    std::size_t at = 0;
    int segments = 0;
    bool held = true;
    for (std::size_t k = 1; k < n && held; ++k) {
      if (k + 1 < n && !(set >> (k - 1) & 1)) continue;
      held = holds[at][k], ++segments, at = k;
    }
    if (held) best = std::min(best, segments);
  }
  return best;
}

TEST(MinimiseSegments, TheFewestOfAllChoicesOfItsCandidates) {
  int two = 0, more = 0;
  for (const double periods : {0.7, 1.5})
    for (const double height : {1.5, 4.0})
      for (const double limit : {0.02, 0.1}) {
        Side s = side(wave(36, height, periods), limit);
        const double way = s.loop.curve.ahead(s.draft.nodes[0].arc, s.draft.nodes[1].arc);
        const int candidates = int(way / 3) - 1;  // as split_segment spaces them on so short a segment
        ASSERT_LT(candidates, 18);
        const int brute = fewest_by_brute_force(s, limit, candidates);
        if (brute < 2 || brute == 1000) continue;  // one cubic does, or the candidates are too few for so fine a limit
        DraftLoop d = s.draft;
        EXPECT_EQ(split_segment(s.loop, &d, 0), brute) << periods << " " << height << " " << limit;
        ++(brute == 2 ? two : more);
      }
  EXPECT_GE(two, 1);
  EXPECT_GE(more, 3);
}

TEST(MinimiseSegments, NewNodesAreSmoothAndHoldTheLimit) {
  Side s = side(wave(400, 60, 2), 0.5);
  const auto counted = minimise(s);
  ASSERT_TRUE(counted.ok());
  const DraftLoop& d = counted->loops[0];
  EXPECT_GE(segments_before_the_box(d), 2);
  EXPECT_LE(segments_before_the_box(d), 6);
  for (std::size_t i = 0; i + 3 < d.size(); ++i) EXPECT_LT(segment_error(s.loop, d, i).max_px, 0.6) << i;
  for (std::size_t i = 1; i + 3 < d.size(); ++i) {
    EXPECT_FALSE(d.nodes[i].corner);
    EXPECT_EQ(d.nodes[i].reason, Reason::added);
    EXPECT_NEAR(wrap_angle(start_angle(d, i) - end_angle(d, i - 1)), 0, 1e-9);
  }
}

TEST(MinimiseSegments, StraightsAreLeftAlone) {
  Side s = side(wave(100, 20, 0.5), 0.5);
  const auto counted = minimise(s);
  ASSERT_TRUE(counted.ok());
  for (std::size_t i = counted->loops[0].size() - 3; i < counted->loops[0].size(); ++i)
    EXPECT_TRUE(counted->loops[0].segments[i].straight);
}

// A quarter of a circle is one cubic to 2.7e-4 of its radius (Goldapp, "Approximation of circular arcs by cubic
// polynomials", 1991). A straight that was seen 12 px too long takes the beginning of it away.
TEST(MinimiseSegments, AStraightThatRunsIntoARoundIsShortenedNotFollowedByAStep) {
  constexpr double radius = 60, overrun = 12, limit = 0.5;
  for (const bool before : {true, false}) {
    support::Polyline ring;
    for (int i = 0; i <= 400; ++i) {
      const double u = 0.5 * pi * i / 400;
      ring.push_back({220 + radius * std::sin(u), 160 - radius * std::cos(u)});
    }
    ring.insert(ring.end(), {{280, 400}, {20, 400}, {20, 100}});
    const SpacedLoop loop = support::exact_loop(ring, limit);
    const Point end_before = before ? Point{220 + overrun, 100} : Point{220, 100};
    const Point end_after = before ? Point{280, 160} : Point{280, 160 - overrun};
    DraftLoop d;
    const Point places[] = {end_before, end_after, {280, 400}, {20, 400}, {20, 100}};
    for (std::size_t i = 0; i < 5; ++i) {
      DraftNode j;
      j.at = j.anchor = places[i], j.corner = i > 1, j.zone_px = j.corner ? 0.3 : 0;
      j.reason = j.corner ? Reason::corner : Reason::straight_end;
      j.arc = nearest_arc(loop.curve, j.at, 0, loop.curve.length_px());
      d.nodes.push_back(j);
      DraftSegment p;
      p.straight = i > 0;
      d.segments.push_back(p);
    }
    settle_angles(&d);
    ASSERT_GT(fit_segment(loop, &d, 0), limit);
    const auto counted = minimise({loop, d});
    ASSERT_TRUE(counted.ok());
    const DraftLoop& out = counted->loops[0];
    ASSERT_EQ(out.size(), 5u) << before;
    EXPECT_LT(segment_error(loop, out, 0).max_px, limit);
    EXPECT_LT(distance(out.nodes[before ? 0 : 1].at, before ? Point{220, 100} : Point{280, 160}), 8) << before;
    for (std::size_t i = 1; i < 5; ++i) EXPECT_TRUE(out.segments[i].straight);
  }
}

TEST(MinimiseSegments, TheSameForAnyNumberOfThreads) {
  SpacedLoops loops;
  Draft draft;
  for (int k = 0; k < 6; ++k) {
    const Side s = side(wave(200 + 10 * k, 40, 1.5), 0.3);
    loops.loops.push_back(s.loop), draft.loops.push_back(s.draft);
  }
  const Job job;
  Progress progress(job, Stage::minimise, 0, 1);
  const auto one = minimise_segments(loops, draft, {.threads = 1}, progress),
             three = minimise_segments(loops, draft, {.threads = 3}, progress);
  ASSERT_TRUE(one.ok() && three.ok());
  for (std::size_t k = 0; k < 6; ++k) {
    ASSERT_EQ(one->loops[k].size(), three->loops[k].size());
    for (std::size_t i = 0; i < one->loops[k].size(); ++i)
      EXPECT_EQ(cubic_of(one->loops[k], i), cubic_of(three->loops[k], i));
  }
}

}  // namespace
}  // namespace batten
