// Whole multiples of a step, with what was equal still equal.
#include "finish/round_coordinates.h"

#include <gtest/gtest.h>

#include "refine/joint_scalars.h"
#include "support/drafts.h"
#include "support/random.h"

namespace batten {
namespace {

struct Sheet {
  SpacedLoops loops;
  Draft draft;
  std::vector<NodeOrder> orders;
  Drawing before, after;

  explicit Sheet(const std::vector<Outline>& outlines) {
    for (const Outline& o : outlines) {
      loops.loops.push_back(support::exact_loop(support::points_of(o, 0.25)));
      draft.loops.push_back(support::draft_of(loops.loops.back(), o));
    }
    orders = node_orders(loops, draft);
    before = after = finish_drawing(loops, draft, {});
  }
  void round(double step_px, bool handles_too, const std::vector<Tie>& ties = {},
             const std::vector<std::pair<NodePlace, NodePlace>>& mirrored = {}) {
    after = before;
    round_coordinates(draft, ties, mirrored, orders, step_px, handles_too, &after);
  }
  // The node that a node became.
  const Node& node(std::size_t loop, std::size_t node) const {
    const auto& of = orders[loop].draft_node_of;
    return after.outlines[loop].nodes[std::size_t(std::find(of.begin(), of.end(), node) - of.begin())];
  }
};

// Of the nearest whole multiple, for a step that may have no exact binary form.
double off_multiple(double v, double step) { return std::abs(v / step - std::round(v / step)); }

Outline crooked(support::Random& random) {
  const auto by = [&] { return 3 * random.normal(); };
  return support::polygon({{50.37 + by(), 40.2 + by()},
                           {150.9 + by(), 61.4 + by()},
                           {140.3 + by(), 201.7 + by()},
                           {61.1 + by(), 190.6 + by()}});
}

TEST(RoundCoordinates, NodesLieOnMultiplesAndMoveByHalfAStepAtMost) {
  support::Random random("RoundCoordinates", "crooked");
  for (int k = 0; k < 20; ++k) {
    Sheet sheet({crooked(random)});
    for (const double step : {0.001, 0.1, 0.25, 1.0, 3.0, 7.5}) {
      sheet.round(step, true);
      for (std::size_t i = 0; i < 4; ++i) {
        const Node &n = sheet.after.outlines[0].nodes[i], &was = sheet.before.outlines[0].nodes[i];
        for (const Point p : {n.at, n.handle_before, n.handle_after}) {
          EXPECT_LT(off_multiple(p.x, step), 1e-6) << step;
          EXPECT_LT(off_multiple(p.y, step), 1e-6) << step;
        }
        EXPECT_LE(std::abs(n.at.x - was.at.x), 0.5 * step + 1e-9);
        EXPECT_LE(std::abs(n.at.y - was.at.y), 0.5 * step + 1e-9);
        EXPECT_TRUE(n.handle_before == n.at && n.handle_after == n.at) << "straights keep their handles retracted";
      }
    }
  }
}

TEST(RoundCoordinates, MultiplesAreTheNumbersThatADecimalNames) {
  support::Random random("RoundCoordinates", "decimal");
  Sheet sheet({crooked(random)});
  sheet.round(0.001, false);
  for (const Node& n : sheet.after.outlines[0].nodes) {
    EXPECT_EQ(n.at.x, std::strtod((std::to_string(std::llround(n.at.x * 1000)) + "e-3").c_str(), nullptr));
    EXPECT_EQ(n.at.y, std::strtod((std::to_string(std::llround(n.at.y * 1000)) + "e-3").c_str(), nullptr));
  }
}

TEST(RoundCoordinates, SharedCoordinatesAndEqualWidthsStayEqual) {
  // Two stems at places where each edge alone would round its own way: 30 wide at 0.3, and at 0.7 of a step.
  for (double shift = 0; shift < 1; shift += 0.07) {
    Sheet sheet({support::polygon({{40.3 + shift, 40}, {70.4 + shift, 40}, {70.4 + shift, 230}, {40.3 + shift, 230}}),
                 support::polygon({{140.7, 41}, {170.8, 41}, {170.8, 229.5}, {140.7, 229.5}})});
    const ScalarIndex index(sheet.draft);
    const auto x = [&](std::size_t loop, std::size_t node) { return index.of(loop, Quantity::x, node); };
    const Tie equal_widths{{{x(0, 1), 1}, {x(0, 0), -1}, {x(1, 1), -1}, {x(1, 0), 1}}};
    const Tie one_line{{{index.of(0, Quantity::y, 2), 1}, {index.of(1, Quantity::y, 2), -1}}};
    for (const double step : {1.0, 4.0, 0.001}) {
      sheet.round(step, true, {equal_widths, one_line});
      for (std::size_t k : {std::size_t(0), std::size_t(1)}) {
        EXPECT_EQ(sheet.node(k, 0).at.x, sheet.node(k, 3).at.x) << "a vertical side has one x";
        EXPECT_EQ(sheet.node(k, 1).at.x, sheet.node(k, 2).at.x);
        EXPECT_EQ(sheet.node(k, 0).at.y, sheet.node(k, 1).at.y) << "a level side has one y";
      }
      const double a = sheet.node(0, 1).at.x - sheet.node(0, 0).at.x, b = sheet.node(1, 1).at.x - sheet.node(1, 0).at.x;
      EXPECT_EQ(std::llround(a / step), std::llround(b / step)) << shift << ' ' << step;
      EXPECT_LT(off_multiple(a, step), 1e-6);
      EXPECT_NEAR(a, 30.1, 2 * step) << "tied nodes move by a few halves";
      EXPECT_EQ(sheet.node(0, 2).at.y, sheet.node(1, 2).at.y) << "one baseline";
    }
  }
}

TEST(RoundCoordinates, MirrorImagesStayMirrorImages) {
  // A house about x = 100.2: left and right sides, and the ridge on the axis.
  Sheet sheet({support::polygon({{100.2, 20.3}, {150.9, 80.4}, {150.9, 200.6}, {49.5, 200.6}, {49.5, 80.4}})});
  const ScalarIndex index(sheet.draft);
  const auto x = [&](std::size_t node) { return index.of(0, Quantity::x, node); };
  const auto y = [&](std::size_t node) { return index.of(0, Quantity::y, node); };
  const std::vector<Tie> ties{{{{x(1), 1}, {x(4), 1}, {x(0), -2}}},
                              {{{x(2), 1}, {x(3), 1}, {x(0), -2}}},
                              {{{y(1), 1}, {y(4), -1}}},
                              {{{y(2), 1}, {y(3), -1}}}};
  const std::vector<std::pair<NodePlace, NodePlace>> mirrored{{{0, 0}, {0, 0}}, {{0, 1}, {0, 4}}, {{0, 2}, {0, 3}}};
  for (const double step : {1.0, 0.3, 0.001}) {
    sheet.round(step, true, ties, mirrored);
    const auto steps = [&](double v) { return std::llround(v / step); };
    const long long twice = 2 * steps(sheet.node(0, 0).at.x);
    for (const auto& [a, b] : {std::pair(1, 4), std::pair(2, 3)}) {
      EXPECT_EQ(steps(sheet.node(0, a).at.x) + steps(sheet.node(0, b).at.x), twice) << step;
      EXPECT_EQ(sheet.node(0, a).at.y, sheet.node(0, b).at.y) << step;
    }
  }
}

TEST(RoundCoordinates, HandlesOnAnAxisStayThereAndOthersKinkLittle) {
  const double kappa = 4 * (std::sqrt(2.0) - 1) / 3;  // the usual four-arc circle: Goldapp 1991
  for (const double turn : {0.0, 0.4}) {
    Sheet sheet({support::circle({120.37, 99.81}, 60.23, 4, kappa, 1, turn)});
    for (const double step : {1.0, 0.001}) {
      sheet.round(step, true);
      for (std::size_t i = 0; i < 4; ++i) {
        const Node &n = sheet.after.outlines[0].nodes[i], &was = sheet.before.outlines[0].nodes[i];
        for (const auto& [h, before] :
             {std::pair(n.handle_before, was.handle_before), std::pair(n.handle_after, was.handle_after)}) {
          EXPECT_LT(off_multiple(h.x, step), 1e-6);
          EXPECT_LT(off_multiple(h.y, step), 1e-6);
          EXPECT_TRUE(before.x != was.at.x || h.x == n.at.x) << "level and vertical handles stay so";
          EXPECT_TRUE(before.y != was.at.y || h.y == n.at.y);
          EXPECT_LE(distance(h - n.at, before - was.at), 2 * step) << "a place near by";
        }
        // Free places near by differ in direction by a step over the handle's 33 px: 1.7 degrees each at a step of 1.
        const double kink = std::abs(degrees(turn_between(n.at - n.handle_before, n.handle_after - n.at)));
        EXPECT_LT(kink, 1.8 * step + 1e-3) << turn << ' ' << step;
      }
    }
  }
}

}  // namespace
}  // namespace batten
