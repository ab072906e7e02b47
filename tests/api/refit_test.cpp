// refit(): outlines with heaps of nodes against what they were made of.

#include "batten/refit.h"

#include <gtest/gtest.h>

#include <cmath>

#include "batten/measure.h"
#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/random.h"
#include "support/score.h"
#include "support/shapes.h"
#include "support/spoil.h"

namespace batten {
namespace {

using namespace batten::support;

Options within(double px) {
  Options options;
  options.tolerance_px = px;
  return options;
}

// Distance both ways between what went in and what came out, sampled here and not by the library.
double apart_px(const Outline& was, const Outline& is) {
  double worst = 0;
  const Polyline a = points_of(was, 0.5), b = points_of(is, 0.5);
  for (const auto& [from, to] : {std::pair(a, b), std::pair(b, a)})
    for (const Point p : from) {
      double near = 1e300;
      for (std::size_t i = 0; i < to.size(); ++i) {
        const Point q = to[i], e = to[(i + 1) % to.size()] - q;
        const double t =
            std::clamp(((p.x - q.x) * e.x + (p.y - q.y) * e.y) / std::max(1e-12, e.x * e.x + e.y * e.y), 0.0, 1.0);
        near = std::min(near, std::hypot(p.x - q.x - t * e.x, p.y - q.y - t * e.y));
      }
      worst = std::max(worst, near);
    }
  return worst;
}

// Letters of open fonts cut up: as few nodes as the designers set, with all their corners and extremes.
TEST(Refit, CutUpLettersAsTheirDesignersDrewThem) {
  Score total;
  bool first = true;
  for (const FontCase& c : font_cases(U"aS")) {
    const std::vector<Outline> truth = glyph(font_file(c.font), c.character, 300, 20);
    if (truth.empty()) GTEST_SKIP() << "the fonts are not installed";
    std::vector<Outline> given;
    for (const Outline& o : truth) given.push_back(cut_up(o, 8));
    const auto out = refit(given, within(0.25));
    ASSERT_TRUE(out.ok()) << out.error().message;
    for (std::size_t i = 0; i < given.size(); ++i) {
      EXPECT_EQ(out->outlines[i].outcome, Refitting::Outcome::refitted) << text_of(c);
      EXPECT_LE(apart_px(given[i], out->conversion.drawing.outlines[i]), 0.25 + 0.01) << text_of(c);
      EXPECT_GT(signed_area_px2(given[i]) * signed_area_px2(out->conversion.drawing.outlines[i]), 0) << text_of(c);
    }
    const Score s = score(truth, out->conversion.drawing.outlines);
    EXPECT_EQ(s.missed_extremes, 0u) << text_of(c);
    EXPECT_EQ(s.corners_found, s.truth_corners) << text_of(c);
    EXPECT_EQ(s.kinks + s.false_corners + s.crossing, 0u) << text_of(c);
    EXPECT_LE(s.nodes(), 1.2) << text_of(c);  // designers leave out an extreme of a round of a few px at times
    total = first ? s : sum(total, s);
    first = false;
  }
  EXPECT_LE(total.nodes(), 1.0);
}

// The same cut into straights: facets are no corners, corners are no facets.
TEST(Refit, LettersOfStraights) {
  Score total;
  bool first = true;
  for (const FontCase& c : font_cases(U"aS")) {
    const std::vector<Outline> truth = glyph(font_file(c.font), c.character, 300, 20);
    if (truth.empty()) GTEST_SKIP() << "the fonts are not installed";
    std::vector<Outline> given;
    for (const Outline& o : truth) given.push_back(flattened(o, 0.05));
    const auto out = refit(given, within(0.25));
    ASSERT_TRUE(out.ok());
    for (std::size_t i = 0; i < given.size(); ++i)
      EXPECT_LE(apart_px(given[i], out->conversion.drawing.outlines[i]), 0.25 + 0.01) << text_of(c);
    const Score s = score(truth, out->conversion.drawing.outlines);
    total = first ? s : sum(total, s);
    first = false;
  }
  EXPECT_LE(total.nodes(), 1.0);
  EXPECT_EQ(total.missed_extremes, 0u);
  EXPECT_EQ(total.false_corners, 0u);
  EXPECT_GE(double(total.corners_found), 0.98 * double(total.truth_corners));
}

TEST(Refit, CornersAndStraightsStayExactly) {
  const Outline square = polygon({{10, 10}, {110, 13}, {120, 90}, {20, 80}});
  const auto out = refit(std::vector{cut_up(square, 8)}, within(0.5));
  ASSERT_TRUE(out.ok());
  const Outline& o = out->conversion.drawing.outlines[0];
  ASSERT_EQ(o.nodes.size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(o.nodes[i].at, square.nodes[i].at);
    EXPECT_TRUE(o.is_straight(i));
    EXPECT_EQ(o.nodes[i].reason, Reason::corner);
  }
}

TEST(Refit, WhatIsFewAlreadyStaysAsItWas) {
  std::vector<Outline> given = {circle({50, 50}, 40, 4, standard_handle(4)), polygon({{0, 0}, {9, 0}, {9, 9}})};
  given.push_back({});
  given.push_back(given[1]);
  given.back().closed = false;
  const auto out = refit(given, within(0.1));
  ASSERT_TRUE(out.ok());
  for (std::size_t i = 0; i < given.size(); ++i) {
    EXPECT_NE(out->outlines[i].outcome, Refitting::Outcome::refitted);
    ASSERT_EQ(out->conversion.drawing.outlines[i].nodes.size(), given[i].nodes.size());
    for (std::size_t k = 0; k < given[i].nodes.size(); ++k) {
      EXPECT_EQ(out->conversion.drawing.outlines[i].nodes[k].at, given[i].nodes[k].at);
      EXPECT_EQ(out->conversion.drawing.outlines[i].nodes[k].handle_after, given[i].nodes[k].handle_after);
    }
  }
}

// The result does not hang on the unit: a letter a thousand times smaller, with that tolerance, has as many nodes.
TEST(Refit, TheToleranceIsTheOnlyLength) {
  const Outline round = cut_up(circle({0, 0}, 100, 4, standard_handle(4)), 16);
  for (const double scale : {1e-3, 1.0, 1e4}) {
    const auto out =
        refit(std::vector{moved(round, scale, 0, {1, 2})}, within(0.25 * scale > 1e4 ? 1e4 : 0.25 * scale));
    ASSERT_TRUE(out.ok());
    EXPECT_EQ(out->outlines[0].segments_after, 4u) << scale;
    EXPECT_NEAR(out->outlines[0].change_px, 0, 0.1 * scale);
  }
}

TEST(Refit, NoiseThatIsLargerThanTheToleranceIsLeftAlone) {
  Random random("Refit", "noise");
  const Outline noisy = sampled(circle({200, 200}, 150, 4, standard_handle(4)), 1, 2, &random);
  const auto out = refit(std::vector{noisy}, within(0.25));
  ASSERT_TRUE(out.ok());
  EXPECT_EQ(out->outlines[0].outcome, Refitting::Outcome::too_far);
  EXPECT_EQ(out->conversion.drawing.outlines[0].nodes.size(), noisy.nodes.size());
}

TEST(Refit, SaysWhatIsWrong) {
  const std::vector<Outline> given = {polygon({{0, 0}, {9, 0}, {9, 9}})};
  Options none;
  none.tolerance_px.reset();
  EXPECT_EQ(refit(given, none).error().code, ErrorCode::bad_option);
  EXPECT_EQ(refit(given, within(-1)).error().code, ErrorCode::bad_option);
  for (const double bad : {std::nan(""), 1e10, -std::numeric_limits<double>::infinity()}) {
    std::vector<Outline> far = given;
    far[0].nodes[1].handle_after.x = bad;
    EXPECT_EQ(refit(far, within(1)).error().code, ErrorCode::bad_polyline);
  }
  EXPECT_TRUE(refit({}, within(1)).ok());
  std::stop_source stop;
  stop.request_stop();
  const std::vector<Outline> many = {cut_up(circle({50, 50}, 40, 4, standard_handle(4)), 8)};
  EXPECT_EQ(refit(many, within(1), {{}, {}, stop.get_token()}).error().code, ErrorCode::cancelled);
}

}  // namespace
}  // namespace batten
