// Which lines, widths, overshoots and slopes are proposed to become equal, on polygons whose measures are known.
#include "straighten/propose_edits.h"

#include <gtest/gtest.h>

#include <set>

#include "support/drafts.h"
#include "support/letters.h"

namespace batten {
namespace {

using support::Polyline;

struct Sheet {
  SpacedLoops loops;
  Draft draft;
  explicit Sheet(const std::vector<Outline>& outlines) {
    for (const Outline& o : outlines) {
      loops.loops.push_back(support::exact_loop(support::points_of(o, 0.25)));
      draft.loops.push_back(support::draft_of(loops.loops.back(), o));
    }
  }
  SheetView view() const { return {loops, draft}; }
  // By how much a tie does not hold yet.
  double off(const Tie& tie) const {
    double sum = 0;
    for (const auto& [scalar, factor] : tie.terms) {
      const std::size_t node = scalar / quantity_count;  // loops one after another
      std::size_t loop = 0, first = 0;
      while (first + draft.loops[loop].size() <= node) first += draft.loops[loop++].size();
      const Point at = draft.loops[loop].nodes[node - first].at;
      sum += factor * (Quantity(scalar % quantity_count) == Quantity::x ? at.x : at.y);
    }
    return std::abs(sum);
  }
};

std::set<std::pair<std::size_t, std::size_t>> loops_tied(const std::vector<Proposal>& proposals) {
  std::set<std::pair<std::size_t, std::size_t>> out;
  for (const Proposal& p : proposals) out.insert({p.nodes.front().loop, p.nodes.back().loop});
  return out;
}

// Exact loops at a tolerance of 1 px may give way by 0.3 px each: feet 0.4 px apart meet, feet 2 px apart were drawn
// so.
TEST(ProposeEdits, FeetAndTopsOfARowComeToLieOnOneLine) {
  const Sheet near({support::polygon(support::letter_i(40, 30, 230, 40)),
                    support::polygon(support::letter_i(140, 30, 230.4, 40.4))});
  const auto proposals = propose_lines(near.view(), {});
  ASSERT_EQ(proposals.size(), 2u) << "one for the feet, one for the tops";
  for (const Proposal& p : proposals) {
    EXPECT_EQ(p.kind, Edit::Kind::line);
    ASSERT_EQ(p.ties.size(), 1u);
    EXPECT_NEAR(near.off(p.ties[0]), 0.4, 1e-9) << "the tie is between the two lines";
    for (const NodePlace& j : p.nodes) {
      const double y = near.draft.loops[j.loop].nodes[j.node].at.y;
      EXPECT_TRUE(std::abs(y - 230) < 1 || std::abs(y - 40) < 1);
    }
  }
  const Sheet apart(
      {support::polygon(support::letter_i(40, 30, 230, 40)), support::polygon(support::letter_i(140, 30, 232, 42))});
  EXPECT_TRUE(propose_lines(apart.view(), {}).empty());
}

TEST(ProposeEdits, AFootAndATopAtOneHeightAreTwoThings) {
  // The bar of the second letter begins where the first ends: the ink lies on the other side.
  const Sheet sheet(
      {support::polygon(support::letter_i(40, 30, 130, 40)), support::polygon(support::letter_i(140, 30, 220, 130.2))});
  EXPECT_TRUE(propose_lines(sheet.view(), {}).empty());
}

TEST(ProposeEdits, ARuledLineGathersWhatEitherSideOfItIsNear) {
  // 0.5 px apart, 0.25 to either side of the ruling; the third lies 0.5 beyond one of them and stays.
  const std::vector<Outline> letters{support::polygon(support::letter_i(40, 30, 229.75, 40)),
                                     support::polygon(support::letter_i(140, 30, 230.25, 80)),
                                     support::polygon(support::letter_i(240, 30, 230.75, 120))};
  const Sheet sheet(letters);
  const auto ruled = propose_lines(sheet.view(), {{230, 0}});
  EXPECT_EQ(loops_tied(ruled), (std::set<std::pair<std::size_t, std::size_t>>{{0, 1}}));
  // A guide that falls by 6 px over the letters is no line of theirs: then the nearest two meet, whichever they are.
  const auto askew = propose_lines(sheet.view(), {{227, 0.03}});
  const auto bare = propose_lines(sheet.view(), {});
  EXPECT_EQ(loops_tied(askew), loops_tied(bare));
}

TEST(ProposeEdits, StemsOfNearlyOneWidthBecomeEqual) {
  const Sheet sheet({support::polygon(support::letter_i(40, 30, 230, 40)),
                     support::polygon(support::letter_i(140, 30.4, 230, 40)),
                     support::polygon(support::letter_i(240, 38, 230, 40))});
  const std::vector<Proposal> stems = propose_widths(sheet.view());
  ASSERT_EQ(stems.size(), 1u) << "38 px was meant to be more than 30";
  EXPECT_EQ(stems[0].kind, Edit::Kind::width);
  EXPECT_EQ(loops_tied(stems), (std::set<std::pair<std::size_t, std::size_t>>{{0, 1}}));
  EXPECT_NEAR(sheet.off(stems[0].ties[0]), 0.4, 1e-9) << "width less width";
  double factors = 0;
  for (const auto& term : stems[0].ties[0].terms) factors += term.second;
  EXPECT_EQ(factors, 0) << "moving both letters sideways changes nothing";
}

TEST(ProposeEdits, WidthsOfAnotherRowAreTheirOwn) {
  const Sheet sheet(
      {support::polygon(support::letter_i(40, 30, 230, 40)), support::polygon(support::letter_i(40, 30.4, 530, 340))});
  EXPECT_TRUE(propose_widths(sheet.view()).empty());
  EXPECT_TRUE(propose_lines(sheet.view(), {}).empty());
}

Outline round_letter(double x, double top, double base) {
  const double kappa = 4 * (std::sqrt(2.0) - 1) / 3;  // the usual four-arc circle: Goldapp 1991
  Outline o = support::circle({x, 0.5 * (top + base)}, 0.5 * (base - top), 4, kappa);
  for (Node& n : o.nodes) {
    const Point from = n.at - Point{x, 0.5 * (top + base)};
    n.reason = std::abs(from.y) > std::abs(from.x) ? (from.y < 0 ? Reason::extreme_top : Reason::extreme_bottom)
                                                   : (from.x < 0 ? Reason::extreme_left : Reason::extreme_right);
  }
  return o;
}

TEST(ProposeEdits, OvershootsBecomeEqualAndAreNotTakenAway) {
  // 2 % of 190 px of overshoot (common practice, no source: 1 to 3 %), two rounds that differ by 0.4 px, and one that
  // passes the line by 15 %: no overshoot at all.
  const Sheet sheet({support::polygon(support::letter_i(40, 30, 230, 40)), round_letter(200, 36.2, 233.8),
                     round_letter(420, 36.6, 233.4), round_letter(640, 12, 258)});
  const auto proposals = propose_overshoots(sheet.view());
  ASSERT_EQ(proposals.size(), 2u) << "tops and feet";
  for (const Proposal& p : proposals) {
    EXPECT_EQ(p.kind, Edit::Kind::overshoot);
    EXPECT_EQ(p.nodes[0].loop + p.nodes[1].loop, 3u) << "the two rounds, and not the stem they pass";
    EXPECT_NEAR(sheet.off(p.ties[0]), 0.4, 1e-6);
  }
}

TEST(ProposeEdits, StemsThatLeanAlikeTakeOneSlope) {
  const auto leaning = [](double x, double deg) {
    const double by = std::tan(radians(deg)) * 190;
    return support::polygon({{x + by, 40}, {x + 30 + by, 40}, {x + 30, 230}, {x, 230}});
  };
  const Sheet sheet({leaning(40, 12), leaning(160, 12.01)});
  SheetAxes axes;
  axes.of_loop = {{true, false}, {true, false}};
  const auto proposals = propose_slants(sheet.view(), axes);
  EXPECT_EQ(proposals.size(), 4u) << "both sides of both stems";
  std::set<double> slopes;
  for (const Proposal& p : proposals) {
    EXPECT_EQ(p.kind, Edit::Kind::slant);
    ASSERT_EQ(p.ties[0].terms.size(), 4u);
    slopes.insert(p.ties[0].terms[3].second);
  }
  ASSERT_EQ(slopes.size(), 1u) << "one slope for all";
  EXPECT_NEAR(-*slopes.begin(), std::tan(radians(12.005)), std::tan(radians(0.01)));
  axes.of_loop = {{true, true}, {true, true}};
  EXPECT_TRUE(propose_slants(sheet.view(), axes).empty()) << "letters that keep to the vertical";
}

}  // namespace
}  // namespace batten
