// The driver of the hypotheses, on a band that is a formula: which candidates make one place, and what is read there.
#include "corners/corner_places.h"

#include <gtest/gtest.h>

#include "support/band_drawing.h"

namespace batten {
namespace {

constexpr double w = 12, sd = 3;
constexpr int size = 420;

// A closed line in pencil, located as a band is: its corners rounded by 0.3 widths.
struct DrawnLoop {
  SpacedLoops loops;
  Corners corners;
  Plane<float> ink;

  explicit DrawnLoop(std::vector<Point> line) {
    SpacedLoop loop;
    loop.curve = smooth(resample(line, 1), 0.3 * w);
    loop.sigma_px = 0.08 * w, loop.band_px = loop.scale_px = w;
    loop.rounding_px = 0.3 * w, loop.correlation_px = 4.5 * w;
    corners.of_loop = {{}}, corners.relocated = {loop.curve};
    loops.loops = {loop};
    line.push_back(line.front());
    ink = support::band_along(line, size, sd);
  }
  void propose(Point at, double turn_deg, double abruptness = 0.3) {
    Corner c;
    c.arc = nearest_arc(loops.loops[0].curve, at, 0, loops.loops[0].curve.length_px());
    c.apex = at, c.turn_deg = turn_deg, c.abruptness = abruptness, c.accepted = true;
    corners.of_loop[0].push_back(c);
    std::sort(corners.of_loop[0].begin(), corners.of_loop[0].end(),
              [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
  }
  std::vector<CornerPlace> places(int threads = 1) const {
    const Job job;
    Progress progress(job, Stage::corners, 0, 1);
    return corner_places(loops, corners, ink, progress, threads);
  }
};

const std::vector<Point> square = {{80, 80}, {340, 80}, {340, 340}, {80, 340}};

DrawnLoop square_with_its_corners() {
  DrawnLoop d(square);
  for (Point p : square) d.propose(p, 90);
  return d;
}

TEST(CornerPlaces, EachPlainCornerIsOnePlaceAndIsReadAsOne) {
  const DrawnLoop d = square_with_its_corners();
  const std::vector<CornerPlace> places = d.places();
  ASSERT_EQ(places.size(), square.size());
  for (const CornerPlace& p : places) {
    EXPECT_EQ(p.candidates.size(), 1u);
    ASSERT_TRUE(p.read && p.facts.one.valid && p.facts.two.valid && p.facts.round.valid);
    EXPECT_NEAR(p.ink_peak, 0.6, 0.05) << "the band was drawn with that";
    EXPECT_FALSE(p.apart);
    double off = 1e300;
    for (Point corner : square) off = std::min(off, distance(corner, p.facts.one.first));
    EXPECT_LT(off, 0.15 * w);
    EXPECT_NEAR(turn_of(p.facts.one), 90, 4);
    const CornerOdds odds = odds_of(evidence_of(p.facts));
    EXPECT_GT(odds.one, 0.5) << odds.none << " " << odds.two;
  }
}

TEST(CornerPlaces, CandidatesWithinTwoBandsShareAPlace) {
  // The first corner is cut off over 1.6 bands.
  const double s = 1.6 * w / std::sqrt(2.0);
  DrawnLoop d({{80 + s, 80}, {340, 80}, {340, 340}, {80, 340}, {80, 80 + s}});
  d.propose({80 + s, 80}, 45), d.propose({80, 80 + s}, 45, 0.6);
  for (std::size_t k = 1; k < 4; ++k) d.propose(square[k], 90);
  const std::vector<CornerPlace> places = d.places();
  ASSERT_EQ(places.size(), 4u);
  const auto cut = std::find_if(places.begin(), places.end(), [](const CornerPlace& p) { return p.facts.several; });
  ASSERT_NE(cut, places.end());
  EXPECT_EQ(cut->candidates.size(), 2u);
  EXPECT_DOUBLE_EQ(cut->turn_deg, 45);
  EXPECT_DOUBLE_EQ(cut->facts.abruptness, 0.3) << "of the most abrupt";
  ASSERT_TRUE(cut->read && cut->facts.two.valid);
  for (Point p : {Point{80 + s, 80}, Point{80, 80 + s}})
    EXPECT_LT(std::min(distance(cut->facts.two.first, p), distance(cut->facts.two.second, p)), 0.3 * w);
  EXPECT_LT(cut->facts.two.square_sum, cut->facts.one.square_sum);
}

TEST(CornerPlaces, GentleTurnsAreLeftToTheLoop) {
  DrawnLoop d = square_with_its_corners();
  d.propose({210, 80}, 30);
  const std::vector<CornerPlace> places = d.places();
  ASSERT_EQ(places.size(), 5u);
  for (const CornerPlace& p : places) EXPECT_EQ(p.read, p.turn_deg > 50) << p.turn_deg;
}

TEST(CornerPlaces, FilledShapesAndPolylinesHaveNone) {
  DrawnLoop filled = square_with_its_corners();
  filled.loops.loops[0].kind = Kind::filled;
  EXPECT_TRUE(filled.places().empty());
  DrawnLoop without_ink = square_with_its_corners();
  without_ink.ink = {};
  EXPECT_TRUE(without_ink.places().empty());
}

TEST(CornerPlaces, TheSameForAnyNumberOfThreads) {
  const DrawnLoop d = square_with_its_corners();
  const std::vector<CornerPlace> one = d.places(1), three = d.places(3);
  ASSERT_EQ(one.size(), 4u);
  ASSERT_EQ(three.size(), 4u);
  for (std::size_t k = 0; k < one.size(); ++k) EXPECT_EQ(one[k].facts.one.first, three[k].facts.one.first);
}

}  // namespace
}  // namespace batten
