#include "refine/bend_straights.h"

#include <gtest/gtest.h>

#include "fit/segment_data.h"
#include "support/drafts.h"

namespace batten {
namespace {

// A sheet whose first side, from a to b, was drawn `sagitta_px` hollow and then taken for straight. The loop is exact:
// only what it is said to err by, as a careful pencil line, makes a bend worth its numbers or not.
struct Hollow {
  SpacedLoop loop;
  DraftLoop draft;
  std::stop_token stop;

  Hollow(Point a, Point b, double sagitta_px) {
    const Point across =
        4.0 / 3 * sagitta_px * left_of(unit(b - a));  // a cubic's middle lies 3/4 as far off as its handles
    const auto line = [](Point p, Point q) { return Cubic{p, p, q, q}; };
    const Point c{b.x, 400}, d{a.x, 400};
    const Outline o =
        support::outline_from({Cubic{a, a + 1.0 / 3 * (b - a) + across, a + 2.0 / 3 * (b - a) + across, b}, line(b, c),
                               line(c, d), line(d, a)});
    loop = support::exact_loop(support::points_of(o, 0.1), 1);
    draft = support::draft_of(loop, o);
    loop.sigma_px = 0.4, loop.correlation_px = 27, loop.band_px = 6, loop.scale_px = 6;
    draft.segments[0] = DraftSegment{};
    draft.segments[0].straight = true;
    settle_angles(&draft);
    solve_joint(loop, &draft, {}, {}, stop);  // as refining does before it bends anything: the line settles first
  }
  static Point left_of(Point u) { return {-u.y, u.x}; }
  bool bend(std::size_t segment = 0) {
    const EditContext c{loop, true, stop};
    return bend_straight(c, &draft, segment);
  }
  double noise_px3() const { return loop.sigma_px * loop.sigma_px * 2 * loop.correlation_px; }
};

// What a parabola leaves beside its best line is the second Legendre polynomial, 2/3 of the sagitta high; the mean
// square of that polynomial is 1/5 (Abramowitz & Stegun, "Handbook of Mathematical Functions", 1964, 22.2.10).
double left_by_a_line_px3(double sagitta_px, double length_px) {
  return 4.0 / 45 * sagitta_px * sagitta_px * length_px;
}

TEST(BendStraights, ASlantedSideIsBentWhereThatIsWorthMoreThanNoise) {
  const Point a{20, 100}, b{260, 280};  // 300 px
  for (const double sagitta_px : {0.3, 0.9}) {
    Hollow h(a, b, sagitta_px);
    const bool worth = left_by_a_line_px3(sagitta_px, 300) > least_bend(h.draft, 0) * h.noise_px3();
    EXPECT_EQ(worth, sagitta_px > 0.5);  // 2.4 and 21.6 against 10.4 px3
    EXPECT_EQ(h.bend(), worth) << sagitta_px;
    EXPECT_EQ(h.draft.segments[0].straight, !worth);
    EXPECT_FALSE(h.bend(1)) << "this one is straight";
  }
}

TEST(BendStraights, ALevelSideKeepsToTheLevel) {
  Hollow h({20, 100}, {320, 100}, 0.9);
  EXPECT_FALSE(h.bend());
}

TEST(BendStraights, WhatIsNotFollowedIsBentWhateverItsDirection) {
  Hollow h({20, 100}, {320, 100}, 6);
  EXPECT_TRUE(h.bend());
  EXPECT_LT(segment_error(h.loop, h.draft, 0).max_px, 0.5);
}

TEST(BendStraights, WhereTheToleranceIsFarWiderThanTheNoiseItDecides) {
  Hollow h({20, 100}, {260, 280}, 0.9);
  h.loop.sigma_px = 0.01;
  EXPECT_FALSE(h.bend());
}

TEST(BendStraights, ABendThatHardlyShowsIsLeftOut) {
  Hollow h({20, 100}, {260, 280}, 0.15);
  h.loop.sigma_px = 0.06;
  EXPECT_GT(left_by_a_line_px3(0.15, 300), least_bend(h.draft, 0) * h.noise_px3()) << "worth it by the noise";
  EXPECT_FALSE(h.bend()) << "handles 0.2 px off the chord, for a tolerance of 1 px";
}

TEST(BendStraights, AWallThatWouldWaverStaysStraight) {
  // Runs on into rounds that turn clockwise at both ends: bent the other way, the outline would turn to and fro.
  const auto bent = [](double sagitta_px) {
    const Point a{100, 200}, b{250, 350}, across = 4.0 / 3 * sagitta_px * Point{-0.7071, 0.7071};
    const Point u{0.7071, 0.7071}, to_a = unit(1.0 / 3 * (b - a) + across), from_b = unit(1.0 / 3 * (b - a) - across);
    const Outline o =
        support::outline_from({Cubic{a, a + 1.0 / 3 * (b - a) + across, a + 2.0 / 3 * (b - a) + across, b},
                               Cubic{b, b + 40 * from_b, Point{290, 440}, Point{250, 440}},
                               Cubic{Point{250, 440}, Point{150, 440}, Point{60, 400}, Point{60, 300}},
                               Cubic{Point{60, 300}, Point{60, 200}, a - 40 * to_a, a}});
    SpacedLoop loop = support::exact_loop(support::points_of(o, 0.1), 1);
    DraftLoop d = support::draft_of(loop, o);
    loop.sigma_px = 0.4, loop.correlation_px = 27, loop.band_px = 6, loop.scale_px = 6;
    d.segments[0] = DraftSegment{};
    d.segments[0].straight = true;
    d.nodes[0].corner = d.nodes[1].corner = false;
    d.nodes[0].angle = d.nodes[1].angle = angle_of(u);
    settle_angles(&d);
    const std::stop_token stop;
    solve_joint(loop, &d, {}, {}, stop);
    return bend_straight({loop, true, stop}, &d, 0);
  };
  EXPECT_TRUE(bent(-2)) << "outwards: it turns the same way as the rounds";
  EXPECT_FALSE(bent(2)) << "inwards";
}

TEST(BendStraights, AWallThatFacesAnotherOneMustBendMore) {
  const auto stem = [](double top_right) {
    const Outline o = support::polygon({{100, 50}, {top_right, 50}, {200, 350}, {150, 350}});
    return support::draft_of(support::exact_loop(support::points_of(o, 0.1)), o);
  };
  const DraftLoop parallel = stem(150), wedge = stem(120);
  EXPECT_GT(least_bend(parallel, 1), least_bend(wedge, 1));
  EXPECT_EQ(least_bend(parallel, 1), least_bend(parallel, 3));
}

TEST(BendStraights, ASideBetweenCornersMustBendMoreThanOneThatRunsIntoARound) {
  const Outline o = support::d_with_round_foot();
  DraftLoop d = support::draft_of(support::exact_loop(support::points_of(o, 0.1)), o);
  const double before = least_bend(d, 0);  // the head: it ends in a round
  d.nodes[1].corner = true;
  EXPECT_GT(least_bend(d, 0), before);
}

}  // namespace
}  // namespace batten
