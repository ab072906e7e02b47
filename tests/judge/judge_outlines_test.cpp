#include "judge/judge_outlines.h"

#include <gtest/gtest.h>

#include "batten/measure.h"
#include "support/drafts.h"

namespace batten {
namespace {

double to_nearest(Point p, const std::vector<Point>& points) {
  double best = 1e18;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Point a = points[i], d = points[(i + 1) % points.size()] - a;
    const double f = norm2(d) > 0 ? std::clamp(dot(p - a, d) / norm2(d), 0.0, 1.0) : 0;
    best = std::min(best, norm2(p - (a + f * d)));
  }
  return std::sqrt(best);
}

Report judged(const SpacedLoop& loop, const Outline& o) {
  Drawing drawing;
  drawing.outlines.push_back(o);
  Report report;
  judge_outlines({{loop}}, drawing, &report);
  return report;
}

TEST(JudgeOutlines, FiguresAgreeWithEverySampleAgainstEveryEdge) {
  const SpacedLoop loop = support::exact_loop(support::ellipse_points({200, 200}, 120, 80, 0.3, 0.1), 0.5);
  for (const double scale : {1.0, 1.01, 0.985}) {
    // Four cubics of a circle made an ellipse: exact to 0.03 px, then scaled.
    Outline o = support::circle({0, 0}, 1, 4, support::standard_handle(4));
    for (Node& n : o.nodes)
      for (Point* p : {&n.at, &n.handle_before, &n.handle_after}) {
        const Point q{120 * scale * p->x, 80 * scale * p->y};
        *p = Point{200, 200} + q.x * direction(0.3) + q.y * left_of(direction(0.3));
      }
    const std::vector<Point> samples = support::points_of(o, 0.2);
    double worst = 0, sum = 0;
    for (Point p : samples) worst = std::max(worst, to_nearest(p, loop.curve.points));
    for (Point p : loop.curve.points) {
      const double d = to_nearest(p, samples);
      worst = std::max(worst, d), sum += d * d / double(loop.curve.size());
    }
    const Report r = judged(loop, o);
    ASSERT_EQ(r.outlines.size(), 1u);
    EXPECT_NEAR(r.outlines[0].max_px, worst, 0.01) << scale;
    EXPECT_NEAR(r.outlines[0].rms_px, std::sqrt(sum), 0.02) << scale;
    EXPECT_EQ(r.max_px, r.outlines[0].max_px);
    EXPECT_EQ(r.segments, 4u);
    EXPECT_EQ(r.outlines[0].replaced_length_px, 0) << "no corner";
    const bool told = std::any_of(r.findings.begin(), r.findings.end(), [](const Finding& f) {
      return f.what == Finding::What::tolerance_exceeded && f.outline == 0 && f.amount_px > 0.5;
    });
    EXPECT_EQ(told, worst > 0.5) << scale;
  }
}

TEST(JudgeOutlines, ARoundedCornerIsMeasuredAgainstItsArms) {
  // The located loop is rounded by 3 px, as a band's is; the outline has the corner itself: 3 (sqrt 2 - 1) = 1.24 px
  // off.
  support::Polyline rounded;
  const Point centres[] = {{197, 103}, {197, 197}, {103, 197}, {103, 103}};
  for (int q = 0; q < 4; ++q)
    for (int k = 0; k <= 20; ++k) rounded.push_back(centres[q] + 3 * direction(-pi / 2 + (q + k / 20.0) * pi / 2));
  SpacedLoop loop = support::exact_loop(rounded, 0.5);
  loop.rounding_px = 3;
  const Outline square = support::polygon({{100, 100}, {200, 100}, {200, 200}, {100, 200}});
  const Report r = judged(loop, square);
  EXPECT_LT(r.max_px, 0.1);
  EXPECT_GT(r.outlines[0].replaced_length_px, 4 * 3.0) << "and it says how much it left out";
  EXPECT_LT(r.outlines[0].replaced_length_px, 120);
  EXPECT_TRUE(r.outlines[0].within_tolerance) << "the corner is beyond its rounding by less than is seen";
  // A corner in the wrong place is not excused.
  const Report wrong = judged(loop, support::polygon({{100, 100}, {203, 97}, {200, 200}, {100, 200}}));
  EXPECT_GT(wrong.max_px, 2);
  EXPECT_FALSE(wrong.outlines[0].within_tolerance);
}

TEST(JudgeOutlines, OnlyStatedTipsMayLieOff) {
  OutlineReport r;
  r.tolerance_px = r.limit_px = 1, r.max_px = 1;
  judge_tolerance(&r);
  EXPECT_TRUE(r.within_tolerance);
  r.tips = {{0, 7, 3}};  // it is stated
  judge_tolerance(&r);
  EXPECT_TRUE(r.within_tolerance);
  r.strayed_px = 2.1;
  judge_tolerance(&r);
  EXPECT_FALSE(r.within_tolerance);
  r.limit_px = 3;  // from where on tips are stated
  judge_tolerance(&r);
  EXPECT_TRUE(r.within_tolerance);
  r.max_px = 1.001;
  judge_tolerance(&r);
  EXPECT_FALSE(r.within_tolerance);
  Report all;
  judge_tolerance(&all);
  EXPECT_FALSE(all.within_tolerance) << "a drawing of nothing";
  r.max_px = 1, judge_tolerance(&r);
  all.outlines = {r, r};
  judge_tolerance(&all);
  EXPECT_TRUE(all.within_tolerance);
  for (const auto what : {Finding::What::left_out, Finding::What::no_outline}) {
    Report less = all;
    less.findings.push_back({.what = what});
    judge_tolerance(&less);
    EXPECT_FALSE(less.within_tolerance);
  }
}

// A pen nib: two long sides and a short one of 6 px at the tip, or the two sides alone meeting at 20 degrees. What blur
// leaves of it is the same round end.
support::Polyline nib(double tip_px) {
  const double spread = std::tan(radians(10));
  return {{20, 100 - 180 * spread - 0.5 * tip_px},
          {200, 100 - 0.5 * tip_px},
          {200, 100 + 0.5 * tip_px},
          {20, 100 + 180 * spread + 0.5 * tip_px}};
}

SpacedLoop blurred(const support::Polyline& sharp, double band_px) {
  SpacedLoop loop = support::exact_loop(sharp, 0.5);
  loop.curve = smooth(loop.curve, 0.3 * band_px);
  loop.kind = Kind::outlined, loop.band_px = loop.scale_px = band_px, loop.rounding_px = 0.3 * band_px;
  loop.sigma_px = 0.15;
  return loop;
}

TEST(JudgeOutlines, AShortSideIsNotMeasuredAgainstWhereTheLongOnesWouldMeet) {
  const support::Polyline sharp = nib(6);  // the long sides would meet 17 px beyond the tip
  const SpacedLoop loop = blurred(sharp, 6);
  const Report right = judged(loop, support::polygon(sharp));
  EXPECT_LT(right.max_px, 0.5);
  support::Polyline moved = sharp;
  moved[1].y -= 3, moved[2].y -= 3;  // both corners off their arms
  const Report wrong = judged(loop, support::polygon(moved));
  EXPECT_GT(wrong.max_px, 2);
  EXPECT_TRUE(std::any_of(wrong.findings.begin(), wrong.findings.end(),
                          [](const Finding& f) { return f.what == Finding::What::tolerance_exceeded; }));
}

TEST(JudgeOutlines, AnAcuteTipMayBeAsLongAsItsSidesAndNotLonger) {
  support::Polyline sharp = nib(0);
  sharp.erase(sharp.begin() + 2);
  const SpacedLoop loop = blurred(sharp, 6);
  EXPECT_LT(judged(loop, support::polygon(sharp)).max_px, 0.5);
  for (const double off : {60.0, 30.0}) {
    support::Polyline longer = sharp;
    longer[1].x += off;
    EXPECT_GT(judged(loop, support::polygon(longer)).max_px, 0.5 * off) << off;
  }
}

TEST(JudgeOutlines, ACrossingIsTold) {
  const support::Polyline bow = {{0, 0}, {100, 100}, {100, 0}, {0, 100}};
  const Report r = judged(support::exact_loop(bow), support::polygon(bow));
  EXPECT_EQ(std::count_if(r.findings.begin(), r.findings.end(),
                          [](const Finding& f) { return f.what == Finding::What::crossing_outline; }),
            1);
  EXPECT_STREQ(name_of(Finding::What::crossing_outline), "outline crosses itself");
  EXPECT_EQ(level_of(Finding::What::crossing_outline), Level::warning);
}

TEST(JudgeOutlines, AToleranceBelowWhatTheLineCanTellIsTold) {
  SpacedLoop loop = support::exact_loop(support::circle_points({100, 100}, 60, 0.2), 0.5);
  loop.sigma_px = 0.7, loop.limit_px = 2.6 * 0.7;
  const Report r = judged(loop, support::circle({100, 100}, 60, 4, support::standard_handle(4)));
  ASSERT_EQ(r.findings.size(), 2u);
  EXPECT_EQ(r.findings[0].what, Finding::What::tolerance_widened);
  EXPECT_EQ(r.findings[1].what, Finding::What::tolerance_below_uncertainty);
  EXPECT_DOUBLE_EQ(r.findings[1].amount_px, 0.7);
}

TEST(JudgeOutlines, AToleranceThatIsWideEnoughIsNotDoubted) {
  SpacedLoop loop = support::exact_loop(support::circle_points({100, 100}, 60, 0.2), 0.5);
  const Outline outline = support::circle({100, 100}, 60, 4, support::standard_handle(4));
  loop.sigma_px = 0.26;  // just under two deviations: 5 % of the line lies farther off
  loop.correlation_px = 10;
  EXPECT_EQ(judged(loop, outline).findings.size(), 1u) << "38 stretches, two of them off";
  loop.correlation_px = 60;
  const Report r = judged(loop, outline);
  EXPECT_TRUE(r.findings.empty()) << "6 stretches, of which a third of one is expected off";
  EXPECT_TRUE(r.outlines[0].within_tolerance);
}

TEST(JudgeOutlines, WhatTheLineMayBeWrongByIsNoDeviation) {
  const SpacedLoop exact = support::exact_loop(support::circle_points({100, 100}, 60, 0.2), 0.5);
  const Outline off = support::circle({100, 100}, 60.7, 4, support::standard_handle(4));
  EXPECT_EQ(judged(exact, off).findings.size(), 1u);
  SpacedLoop known = exact;
  known.sigma_px = 0.24, known.correlation_px = 60;
  EXPECT_TRUE(judged(known, off).findings.empty());
  EXPECT_FALSE(judged(known, off).outlines[0].within_tolerance) << "of the line as it was located it is none";
  known.sigma_px = 0.1;  // 0.7 px is more than the tolerance and 1.5 deviations
  const Report r = judged(known, off);
  ASSERT_EQ(r.findings.size(), 1u);
  EXPECT_EQ(r.findings[0].what, Finding::What::tolerance_exceeded);
  EXPECT_FALSE(r.outlines[0].within_tolerance);
}

TEST(JudgeOutlines, EachWarningSaysOneThing) {
  SpacedLoop loop = support::exact_loop(support::circle_points({100, 100}, 60, 0.2), 0.5);
  loop.sigma_px = 0.7;
  Report r = judged(loop, support::circle({100, 100}, 62, 4, support::standard_handle(4)));
  ASSERT_EQ(r.findings.size(), 2u);
  EXPECT_EQ(r.findings[0].what, Finding::What::tolerance_below_uncertainty);
  EXPECT_NE(r.findings[0].text.find("known to 0.70 px only"), std::string::npos) << r.findings[0].text;
  EXPECT_NE(r.findings[0].text.find("tolerance of 0.50 px"), std::string::npos) << r.findings[0].text;
  EXPECT_EQ(r.findings[1].what, Finding::What::tolerance_exceeded);
  EXPECT_DOUBLE_EQ(r.known_px, 1.82);
  EXPECT_DOUBLE_EQ(r.outlines[0].known_px, 1.82);
  EXPECT_FALSE(r.outlines[0].within_tolerance);
  widen_tolerance(0.9, &r);  // the circle lies 2 px off
  EXPECT_FALSE(r.within_tolerance);
  ASSERT_EQ(r.findings.size(), 2u);
  EXPECT_NE(r.findings[0].text.find("tolerance of 0.90 px"), std::string::npos) << r.findings[0].text;
  EXPECT_NE(r.findings[1].text.find("the tolerance is 0.90 px"), std::string::npos) << r.findings[1].text;
  widen_tolerance(1.35, &r);  // 2 px is within it and 1.5 deviations
  EXPECT_FALSE(r.within_tolerance);
  EXPECT_EQ(r.outlines[0].tolerance_px, 1.35);
  ASSERT_EQ(r.findings.size(), 1u);
  EXPECT_EQ(r.findings[0].what, Finding::What::tolerance_below_uncertainty);
  widen_tolerance(2.1, &r);
  EXPECT_TRUE(r.findings.empty());
  EXPECT_TRUE(r.outlines[0].within_tolerance);
  EXPECT_EQ(r.tolerance_px, 2.1);
  EXPECT_EQ(r.outlines[0].limit_px, 2.1);
}

TEST(JudgeOutlines, ALimitThatIsNotTheToleranceIsTold) {
  SpacedLoop loop = support::exact_loop(support::circle_points({100, 100}, 60, 0.2), 0.5);
  loop.limit_px = 1.2;
  Report r = judged(loop, support::circle({100, 100}, 60, 4, support::standard_handle(4)));
  ASSERT_EQ(r.findings.size(), 1u);
  EXPECT_EQ(r.findings[0].what, Finding::What::tolerance_widened);
  EXPECT_EQ(level_of(r.findings[0].what), Level::info);
  EXPECT_DOUBLE_EQ(r.findings[0].amount_px, 1.2);
  widen_tolerance(0.8, &r);
  ASSERT_EQ(r.findings.size(), 1u);
  EXPECT_NE(r.findings[0].text.find("0.80 px: 1.20 px was held"), std::string::npos) << r.findings[0].text;
  widen_tolerance(1.2, &r);
  EXPECT_TRUE(r.findings.empty());
}

TEST(JudgeOutlines, WhatBandsHideAtACornerIsNotMeasuredAndSaysHowNearlyItIsKnown) {
  // Two sides that meet at 50 degrees, drawn 8 px wide: they run together within 9.5 px of where their middles meet.
  const support::Polyline sharp = {
      {20, 60}, {220, 60}, {220 - 200 * std::cos(radians(50)), 60 + 200 * std::sin(radians(50))}};
  SpacedLoop loop = blurred(sharp, 8);
  loop.known_sigma_px = 0.07 * 8;
  for (const bool reversed : {false, true}) {
    const auto with_tip_at = [&](Point tip) {
      support::Polyline p = {sharp[0], tip, sharp[2]};
      if (reversed) std::reverse(p.begin(), p.end());
      return judged(loop, support::polygon(p));
    };
    const Report right = with_tip_at(sharp[1]);
    EXPECT_LT(right.max_px, 0.6);
    // Half a pixel to one side everywhere: what the three corners hide must not make that look smaller.
    support::Polyline aside = sharp;
    for (Point& p : aside) p = p + 0.5 * direction(radians(90));
    if (reversed) std::reverse(aside.begin(), aside.end());
    const Report moved = judged(loop, support::polygon(aside));
    const double level_px = distance(sharp[0], sharp[1]), others_px = distance(sharp[1], sharp[2]);
    const Point third = unit(sharp[0] - sharp[2]), second = unit(sharp[2] - sharp[1]);
    const double off2 =
        0.25 * (level_px + others_px * second.x * second.x + distance(sharp[2], sharp[0]) * third.x * third.x);
    EXPECT_NEAR(moved.rms_px, std::sqrt(off2 / (level_px + others_px + distance(sharp[2], sharp[0]))), 0.01);
    ASSERT_EQ(right.outlines[0].hidden.size(), 3u);
    const HiddenCorner& tip = right.outlines[0].hidden[1];
    EXPECT_EQ(tip.node, 1u);
    EXPECT_NEAR(tip.sigma_px, 14 * 0.56 * 0.13 / std::sin(radians(25)), 0.01);
    // 4 px along the bisector hide in the ink of both; 25 px do not.
    const Point out = direction(radians(-25));
    EXPECT_LT(with_tip_at(sharp[1] + 4 * out).max_px, 2);
    EXPECT_GT(with_tip_at(sharp[1] + 25 * out).max_px, 10);
  }
}

}  // namespace
}  // namespace batten
