#include "structure/pin_structure.h"

#include <gtest/gtest.h>

#include "structure/place_nodes.h"
#include "support/pinned.h"
#include "support/shapes.h"

namespace batten {
namespace {

using namespace testing;
using Kind = Pin::Kind;

// One exact loop, with what is found on it without pins.
struct Found {
  Job job;
  Progress progress{job, Stage::structure, 0, 1};
  SpacedLoops loops;
  Corners corners;
  Straights straights;
  explicit Found(std::vector<Point> points) {
    Loops located;
    Loop loop;
    loop.points = std::move(points), loop.sigma_px = 0.02, loop.rounding_px = 0.1;
    located.loops.push_back(loop);
    loops = *space_loops(located, plain(1), progress);
    corners = *find_corners(loops, {}, 0, progress);
    straights = *find_straights(loops, corners, progress);
  }
  PinnedStructure with(const std::vector<Pin>& pins) {
    return *pin_structure(loops, corners, straights, pins, progress);
  }
  DraftLoop placed(const PinnedStructure& s) {
    return place_nodes(s.loops, s.corners, s.straights, plain(1), progress)->loops.at(0);
  }
};

std::size_t accepted(const Corners& corners) {
  return std::size_t(
      std::count_if(corners.of_loop[0].begin(), corners.of_loop[0].end(), [](const Corner& c) { return c.accepted; }));
}

Found box() { return Found(dense_polygon({{40, 40}, {200, 40}, {200, 140}, {40, 140}})); }

TEST(PinStructure, WhatNoPinIsAboutStaysAsItIs) {
  Found found = box();
  const PinnedStructure s = found.with({pin(Kind::corner, {{900, 900}})});
  EXPECT_TRUE(s.loops.loops[0].pins.empty());
  EXPECT_EQ(s.attached.targets[0][0].loop, -1);
  EXPECT_NEAR(s.attached.targets[0][0].off_px, distance({900, 900}, {200, 140}), 1e-6);
  EXPECT_EQ(accepted(s.corners), 4u);
  EXPECT_EQ(s.straights.of_loop[0].size(), 4u);
}

TEST(PinStructure, CornersComeAndGo) {
  Found found = box();
  const PinnedStructure gone = found.with({pin(Kind::no_corner, {{198, 41}})});
  EXPECT_EQ(accepted(gone.corners), 3u);
  for (const Straight& s : gone.straights.of_loop[0])
    EXPECT_GT(std::min(distance(s.a, {200, 40}), distance(s.b, {200, 40})), 3) << "room for a round";
  Found round(rounded_box({40, 40}, {200, 140}, 6));
  ASSERT_EQ(accepted(round.corners), 0u);
  const PinnedStructure come = round.with({pin(Kind::corner, {{198, 42}})});
  ASSERT_EQ(accepted(come.corners), 1u);
  for (const Corner& c : come.corners.of_loop[0])
    if (c.accepted) {
      EXPECT_LT(distance(c.apex, {200, 40}), 4);
    }
}

TEST(PinStructure, AStraightTakesTheStretchAndRunsOnToItsCorners) {
  Found found = box();
  Pin p = pin(Kind::straight, {{60, 40}, {180, 40}});
  p.along = Pin::Along::level;
  const PinnedStructure s = found.with({p});
  const auto& all = s.straights.of_loop[0];
  const auto own = std::find_if(all.begin(), all.end(), [](const Straight& t) { return t.pin == 0; });
  ASSERT_NE(own, all.end());
  EXPECT_EQ(all.size(), 4u) << "it takes in the one that was found";
  EXPECT_TRUE(own->level);
  EXPECT_EQ(own->a.y, own->b.y);
  EXPECT_NEAR(own->length_px(), 160, 2);
}

TEST(PinStructure, AStraightThatBendsTooFarIsNone) {
  Found round(support::circle_points({120, 120}, 80, 0.5));
  const PinnedStructure s = round.with({pin(Kind::straight, {{40, 120}, {120, 40}})});
  EXPECT_TRUE(s.loops.loops[0].pins.straights.empty());
  EXPECT_EQ(s.straights.of_loop[0].size(), round.straights.of_loop[0].size());
}

TEST(PinStructure, NodesStandWhereTheyArePinned) {
  Found round(support::circle_points({120, 120}, 80, 0.5));
  const Point place = Point{120, 120} + 80 * direction(0.8);
  Pin bare = pin(Kind::no_node, {{120, 40}});
  bare.length_px = 12;
  const DraftLoop d = round.placed(round.with({pin(Kind::node, {place}), bare, pin(Kind::start, {{41, 118}})}));
  std::size_t pinned = 0;
  for (const DraftNode& j : d.nodes) {
    pinned += j.pin >= 0;
    EXPECT_GT(distance(j.at, {120, 40}), 12);
    if (j.fixed_x) {
      EXPECT_TRUE(j.at == place);
    }
  }
  EXPECT_EQ(pinned, 2u);
  EXPECT_EQ(d.size(), 4u) << "three extremes, one of them the start, and the pinned one";
}

TEST(PinStructure, LoopsMostlyInARegionTakeItsTolerance) {
  const Found found = box();
  Pin p = pin(Kind::tolerance, {{0, 0}, {210, 0}, {210, 300}, {0, 300}});
  p.length_px = 0.25;
  EXPECT_EQ(with_pinned_tolerances(found.loops, {p}).loops[0].limit_px, 0.25);
  p.places = {{0, 0}, {60, 0}, {60, 300}, {0, 300}};
  EXPECT_EQ(with_pinned_tolerances(found.loops, {p}).loops[0].limit_px, 1);
}

TEST(PinsContradict, OnlyWhereTheySpeakOfOnePlace) {
  Found found = box();
  const auto against = [&](std::vector<Pin> pins) { return found.with(pins).attached.against; };
  using Lists = std::vector<std::vector<std::size_t>>;
  EXPECT_EQ(against({pin(Kind::corner, {{120, 40}}), pin(Kind::no_corner, {{200, 90}})}), (Lists{{}, {}}));
  EXPECT_EQ(against({pin(Kind::corner, {{120, 40}}), pin(Kind::no_corner, {{121, 40}})}), (Lists{{1}, {0}}));
  EXPECT_EQ(against({pin(Kind::straight, {{50, 40}, {190, 40}}), pin(Kind::corner, {{120, 40}})}), (Lists{{1}, {0}}));
  EXPECT_EQ(against({pin(Kind::straight, {{50, 40}, {190, 40}}), pin(Kind::corner, {{200, 40}})}), (Lists{{}, {}}));
  Pin level = pin(Kind::straight, {{50, 40}, {150, 40}}), upright = pin(Kind::straight, {{100, 40}, {190, 40}});
  level.along = Pin::Along::level, upright.along = Pin::Along::vertical;
  EXPECT_EQ(against({level, upright}), (Lists{{1}, {0}}));
  const auto region = [](Kind kind, double x) { return pin(kind, {{x, 0}, {x + 50, 0}, {x + 50, 50}, {x, 50}}); };
  EXPECT_EQ(against({region(Kind::ink, 0), region(Kind::paper, 40)}), (Lists{{1}, {0}}));
  EXPECT_EQ(against({region(Kind::ink, 0), region(Kind::paper, 60)}), (Lists{{}, {}}));
  EXPECT_EQ(against({region(Kind::ink, 0), pin(Kind::corner, {{20, 20}})}), (Lists{{}, {}}));
  EXPECT_EQ(against({pin(Kind::close_gap, {{0, 0}, {10, 10}}), pin(Kind::keep_apart, {{0, 10}, {10, 0}})}),
            (Lists{{1}, {0}}));
}

}  // namespace
}  // namespace batten
