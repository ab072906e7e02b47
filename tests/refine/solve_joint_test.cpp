#include "refine/solve_joint.h"

#include <gtest/gtest.h>

#include "refine/edit_draft.h"
#include "support/drafts.h"
#include "support/random.h"

namespace batten {
namespace {

Outline shape() { return support::d_with_round_foot(); }

struct Perturbed {
  SpacedLoop loop;
  DraftLoop truth, draft;
};

Perturbed perturbed(std::uint64_t number, double by_px) {
  support::Random r("SolveJoint", "perturbed", number);
  Perturbed p;
  p.loop = support::exact_loop(support::points_of(shape(), 0.1), 0.5);
  p.truth = p.draft = support::draft_of(p.loop, shape());
  for (DraftNode& j : p.draft.nodes) {
    const double give = j.corner ? 0.3 * by_px : by_px;
    j.at = j.at + Point{r.uniform(-give, give), r.uniform(-give, give)};
    j.angle += r.uniform(-0.025, 0.025) * by_px;
  }
  for (DraftSegment& q : p.draft.segments)
    if (!q.straight)
      q.start.handle_px *= 1 + r.uniform(-0.08, 0.08) * by_px, q.end.handle_px *= 1 + r.uniform(-0.08, 0.08) * by_px;
  settle_angles(&p.draft);
  return p;
}

double error_px(const SpacedLoop& loop, const DraftLoop& d) { return local_error(loop, d, Window::all(d)).max_px; }

TEST(SolveJoint, RecoversPerturbedCubics) {
  for (std::uint64_t k = 0; k < 12; ++k) {
    Perturbed p = perturbed(k, 1.5);  // three times the limit, as a deletion leaves it
    const double before = error_px(p.loop, p.draft);
    EXPECT_GT(before, 0.5);
    ASSERT_TRUE(solve_joint(p.loop, &p.draft, {}, {.rounds = 6, .iterations = 12}, {}));
    EXPECT_LT(error_px(p.loop, p.draft), 0.12) << k << " before " << before;
    for (std::size_t i = 0; i < p.truth.size();
         ++i)  // nodes of flat curves may slide: not farther than they were moved
      EXPECT_LT(distance(p.draft.nodes[i].at, p.truth.nodes[i].at), p.truth.nodes[i].corner ? 0.3 : 6) << k << " " << i;
  }
}

TEST(SolveJoint, AHandleThatPointsBackwardsAtACornerIsPutRight) {
  Perturbed p = perturbed(3, 0.2);
  std::size_t into = 0;
  for (std::size_t i = 0; i < p.truth.size(); ++i)
    if (!p.truth.segments[i].straight && p.truth.nodes[p.truth.next(i)].corner) into = i;
  p.draft.segments[into].end.angle_rad = wrap_angle(p.truth.segments[into].end.angle_rad + pi - 0.1),
  p.draft.segments[into].end.handle_px = 3;
  ASSERT_TRUE(solve_joint(p.loop, &p.draft, {}, {.rounds = 4}, {}));
  EXPECT_NEAR(wrap_angle(p.draft.segments[into].end.angle_rad - p.truth.segments[into].end.angle_rad), 0, 0.2);
  EXPECT_LT(error_px(p.loop, p.draft), 0.5);
}

TEST(SolveJoint, TheTruthIsNotMadeWorse) {
  Perturbed p = perturbed(0, 0);
  p.draft = p.truth;
  ASSERT_TRUE(solve_joint(p.loop, &p.draft, {}, {.rounds = 4}, {}));
  EXPECT_LT(error_px(p.loop, p.draft), 0.05);
}

TEST(SolveJoint, NeverLeavesALargerSumOfSquares) {
  for (std::uint64_t k = 20; k < 40; ++k) {
    Perturbed p = perturbed(k, 8);
    const double before = local_error(p.loop, p.draft, Window::all(p.draft)).sum2;
    ASSERT_TRUE(solve_joint(p.loop, &p.draft, {}, {}, {}));
    EXPECT_LE(local_error(p.loop, p.draft, Window::all(p.draft)).sum2, before) << k;
  }
}

TEST(SolveJoint, HigherNormsLowerTheLargestOffset) {
  // A circle with two nodes: least squares leaves 1.5 times the smallest largest offset.
  const SpacedLoop loop = support::exact_loop(support::circle_points({0, 0}, 100, 0.1));
  DraftLoop d = support::draft_of(loop, support::circle({0, 0}, 100, 2, support::standard_handle(2)));
  for (DraftNode& j : d.nodes) j.reason = Reason::added;
  ASSERT_TRUE(solve_joint(loop, &d, {}, {.rounds = 4, .iterations = 12}, {}));
  const double squares = support::off_circle_px(d, {0, 0}, 100);
  for (int power : {6, 12, 24})
    ASSERT_TRUE(solve_joint(loop, &d, {}, {.rounds = 4, .power = double(power), .iterations = 12}, {}));
  const double largest = support::off_circle_px(d, {0, 0}, 100);
  EXPECT_LT(largest, squares);
  // Free nodes: 2 / (2 + e0) of the standard curve, 0.0090917 R (Dokken, Daehlen, Lyche, Morken, CAGD 7, 1990).
  EXPECT_LT(largest, 1.08 * 0.90917);
  EXPECT_GT(largest, 0.98 * 0.90917);
}

TEST(SolveJoint, OnlyFreedNodesMove) {
  Perturbed p = perturbed(3, 4);
  ASSERT_TRUE(solve_joint(p.loop, &p.draft, {}, {.rounds = 1, .iterations = 3},
                          {}));  // straights on an axis share a coordinate from here on
  const DraftLoop before = p.draft;
  std::vector<char> freed(p.draft.size(), 0);
  freed[2] = 1;
  ASSERT_TRUE(solve_joint(p.loop, &p.draft, freed, {}, {}));
  for (std::size_t i = 0; i < before.size(); ++i) {
    if (i == 2)
      EXPECT_NE(p.draft.nodes[i].at, before.nodes[i].at);
    else
      EXPECT_EQ(p.draft.nodes[i].at, before.nodes[i].at) << i;
  }
}

TEST(SolveJoint, LevelAndVerticalStraightsStaySo) {
  Perturbed p = perturbed(5, 4);
  ASSERT_TRUE(solve_joint(p.loop, &p.draft, {}, {}, {}));
  EXPECT_EQ(p.draft.nodes[0].at.y, p.draft.nodes[1].at.y);
  EXPECT_EQ(p.draft.nodes[4].at.x, p.draft.nodes[0].at.x);
}

TEST(SolveJoint, AnglesOnAnAxisStay) {
  Perturbed p = perturbed(6, 4);
  DraftNode& j = p.draft.nodes[2];
  j.angle = pi / 2, j.angle_fixed = true;
  ASSERT_TRUE(solve_joint(p.loop, &p.draft, {}, {}, {}));
  EXPECT_EQ(p.draft.nodes[2].angle, pi / 2);
}

TEST(SolveJoint, WhatIsNotFiniteIsRefusedAndLeftAlone) {
  Perturbed p = perturbed(7, 2);
  p.draft.nodes[1].angle = std::nan("");
  const double x = p.draft.nodes[2].at.x;
  EXPECT_FALSE(solve_joint(p.loop, &p.draft, {}, {}, {}));
  EXPECT_EQ(p.draft.nodes[2].at.x, x);
}

TEST(RenewArcs, KeepsTheOrderRoundTheLoop) {
  Perturbed p = perturbed(8, 0);
  p.draft = p.truth;
  p.draft.nodes[2].at = {160, 240};  // on top of its neighbour
  renew_arcs(p.loop, &p.draft, {});
  double sum = 0;
  for (std::size_t i = 0; i < p.draft.size(); ++i)
    sum += p.loop.curve.ahead(p.draft.nodes[i].arc, p.draft.nodes[p.draft.next(i)].arc);
  EXPECT_NEAR(sum, p.loop.curve.length_px(), 1e-6);
}

// A straight, a short segment, a round: the loop wavers as a hand does (0.4 px, errors alike over some 25 px), the
// straight was seen a little too far, and the short segment could take up the step by bending the wrong way.
TEST(SolveJoint, AShortSegmentTurnsTheWayTheRoundBesideItDoes) {
  int tried = 0;
  for (std::uint64_t k = 0; k < 24; ++k) {
    support::Random r("SolveJoint", "short segment", k);
    constexpr double radius = 60, overrun = 5, band = 6;
    const double phase = r.uniform(0, 2 * pi);
    support::Polyline ring{{20, 100}};
    for (int i = 1; i < 400; ++i) ring.push_back({20 + 0.5 * i, 100 + 0.4 * std::sin(phase + 0.25 * 0.5 * i)});
    for (int i = 0; i <= 200; ++i) {
      const double u = 0.5 * pi * i / 200, out = radius - 0.4 * std::sin(phase + 0.25 * (200 + radius * u));
      ring.push_back({220 + out * std::sin(u), 160 - out * std::cos(u)});
    }
    ring.insert(ring.end(), {{280, 400}, {20, 400}});
    SpacedLoop loop = support::exact_loop(ring, 1.2);
    loop.sigma_px = 0.4, loop.band_px = loop.scale_px = band, loop.correlation_px = 25;
    DraftLoop d;
    const double turned = (overrun + 7) / radius;
    const Point places[] = {{20, 100},  {220 + overrun, 100}, Point{220, 160} + radius * direction(turned - pi / 2),
                            {280, 160}, {280, 400},           {20, 400}};
    for (std::size_t i = 0; i < 6; ++i) {
      DraftNode j;
      j.at = j.anchor = places[i], j.corner = i == 0 || i > 3, j.zone_px = j.corner ? 4 : 0;
      j.angle = i == 2 ? turned : 0;
      j.reason = j.corner ? Reason::corner : i == 2 ? Reason::added : Reason::straight_end;
      j.arc = nearest_arc(loop.curve, j.at, 0, loop.curve.length_px());
      d.nodes.push_back(j);
      DraftSegment p;
      p.straight = i == 0 || i > 2;
      p.level = i == 0, p.start.handle_px = p.end.handle_px = i == 1 ? 2.5 : 30;
      d.segments.push_back(p);
    }
    settle_angles(&d);
    ASSERT_TRUE(solve_joint(loop, &d, {}, {.rounds = 4}, {}));
    const Cubic c = cubic_of(d, 1);
    const double len = distance(c[0], c[3]);
    if (len < 2) continue;  // shrunk to nothing: merged away later
    ++tried;
    // Clockwise on screen: the curve turns right all the way, but for what a degree of handle makes.
    EXPECT_GT(cross(unit(c[1] - c[0]), unit(c[3] - c[0])), -0.035) << k;
    EXPECT_GT(cross(unit(c[3] - c[0]), unit(c[3] - c[2])), -0.035) << k;
  }
  EXPECT_GE(tried, 12);
}

}  // namespace
}  // namespace batten
