#include "corners/corner_evidence.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

CornerHypothesis hypothesis(double square_sum, Point first, Point second, double into_deg, double out_of_deg) {
  CornerHypothesis h;
  h.valid = true, h.square_sum = square_sum;
  h.first = first, h.second = second;
  h.into = direction(radians(into_deg)), h.out_of = direction(radians(out_of_deg));
  return h;
}

// A right angle in a band of 10 px: two corners with a short side of 45 degrees between, or a round, fit less well.
PlaceFacts plain_corner() {
  PlaceFacts f;
  f.band_px = 10;
  f.one = hypothesis(1, {0, 0}, {0, 0}, 0, 90);
  f.two = hypothesis(1, {-3, 0}, {0, 3}, 0, 90);
  f.round = hypothesis(4, {-8, 0}, {0, 8}, 0, 90);
  f.steps = {0.01, 0.01, 0.01};
  f.abruptness = 0.3;
  return f;
}

PlaceFacts two_corners() {
  PlaceFacts f = plain_corner();
  f.one.square_sum = 8, f.two = hypothesis(1, {-10, 0}, {0, 10}, 0, 90), f.round.square_sum = 5;
  f.steps = {0.2, 0.08, 0.01};
  f.abruptness = 0.8, f.several = true;
  return f;
}

PlaceFacts round() {
  PlaceFacts f = plain_corner();
  f.one.square_sum = 8, f.two.square_sum = 2, f.round.square_sum = 1;
  f.steps = {0.2, 0.01, 0.03};
  f.abruptness = 1.2;
  return f;
}

TEST(CornerEvidence, TheLikeliestHypothesisIsTheOneThatWasBuilt) {
  const CornerOdds one = odds_of(evidence_of(plain_corner())), two = odds_of(evidence_of(two_corners())),
                   none = odds_of(evidence_of(round()));
  EXPECT_GT(one.one, std::max(one.two, one.none));
  EXPECT_GT(two.two, std::max(two.one, two.none));
  EXPECT_GT(none.none, std::max(none.one, none.two));
  for (const CornerOdds& o : {one, two, none}) {
    EXPECT_NEAR(o.none + o.one + o.two, 1, 1e-12);
    EXPECT_GE(std::min({o.none, o.one, o.two}), 0);
  }
}

TEST(CornerEvidence, KnowsNoScale) {
  PlaceFacts small = two_corners(), large = small;
  large.band_px *= 3;
  for (CornerHypothesis* h : {&large.one, &large.two, &large.round})
    h->first = 3 * h->first, h->second = 3 * h->second, h->square_sum *= 5;
  const Evidence a = evidence_of(small), b = evidence_of(large);
  for (std::size_t i = 0; i < evidence_count; ++i) EXPECT_NEAR(a[i], b[i], 1e-12) << i;
}

TEST(CornerEvidence, ATighterRoundBesideItTakesOddsFromACorner) {
  PlaceFacts f = plain_corner();
  double before = odds_of(evidence_of(f)).none;
  for (const double left : {2.0, 1.0, 0.5}) {
    f.round.square_sum = left;
    const double none = odds_of(evidence_of(f)).none;
    EXPECT_GT(none, before) << left;
    before = none;
  }
}

TEST(CornerEvidence, ArmsThatDoNotMeetAreAStepOrATurnRightBack) {
  PlaceFacts step = two_corners();
  step.one.valid = false;
  step.two = hypothesis(1, {-5, 0}, {0, 10}, 0, 0);  // one turn to the left, one to the right
  const Evidence e = evidence_of(step);
  EXPECT_EQ(e[10], 0);
  EXPECT_EQ(e[11], 1);
  PlaceFacts back = step;
  back.two = hypothesis(1, {0, 0}, {0, 10}, 0, 180);  // both to the same side
  const Evidence r = evidence_of(back);
  EXPECT_EQ(r[10], 1);
  EXPECT_EQ(r[11], 0);
  EXPECT_NEAR(r[5], 2, 1e-12) << "180 degrees are two right angles";
}

}  // namespace
}  // namespace batten
