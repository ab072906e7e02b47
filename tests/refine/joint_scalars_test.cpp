#include "refine/joint_scalars.h"

#include <gtest/gtest.h>

#include <numeric>

#include "support/drafts.h"

namespace batten {
namespace {

// The scalars of one outline, those of some nodes freed.
struct Alone {
  support::RoundFoot m;
  std::vector<JointLoop> loops;
  explicit Alone(const std::vector<std::size_t>& freed) {
    loops = {{&m.loop, &m.draft, std::vector<char>(m.draft.size(), 0)}};
    for (const std::size_t i : freed) loops[0].freed[i] = 1;
  }
  JointScalars scalars(Bound bound = Bound::hold_others) const {
    JointScalars s(loops, {}, bound);
    EXPECT_TRUE(s.gather());
    return s;
  }
};

std::vector<std::size_t> all() {
  std::vector<std::size_t> out(support::RoundFoot().draft.size());
  std::iota(out.begin(), out.end(), std::size_t{0});
  return out;
}

TEST(JointScalars, LevelAndVerticalStraightsShareACoordinate) {
  Alone a(all());
  JointScalars s = a.scalars();
  const DraftLoop& d = a.m.draft;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const std::size_t e = d.next(i);
    EXPECT_EQ(s.slot_of(0, Quantity::x, i).block == s.slot_of(0, Quantity::x, e).block, d.segments[i].vertical) << i;
    EXPECT_EQ(s.slot_of(0, Quantity::y, i).block == s.slot_of(0, Quantity::y, e).block, d.segments[i].level) << i;
  }
}

TEST(JointScalars, WhatComesBackIsWhatWentIn) {
  Alone a(all());
  JointScalars s = a.scalars();
  DraftLoop out = a.m.draft;
  *s.slot_of(0, Quantity::x, 2).block += 1.5;
  ASSERT_TRUE(s.read_back(0, &out));
  for (std::size_t i = 0; i < a.m.draft.size(); ++i)
    for (const Quantity q : {Quantity::x, Quantity::y, Quantity::h0, Quantity::h1})
      EXPECT_NEAR(value_of(out, q, i), value_of(a.m.draft, q, i) + (q == Quantity::x && i == 2 ? 1.5 : 0), 1e-12) << i;
}

TEST(JointScalars, OnlyWhatIsFreedHasABlock) {
  Alone a({2});
  JointScalars s = a.scalars();
  EXPECT_EQ(s.concerned(0), (std::vector<std::size_t>{1, 2}));  // the node, and whose segment reaches it
  EXPECT_NE(s.slot_of(0, Quantity::x, 2).block, nullptr);
  EXPECT_EQ(s.slot_of(0, Quantity::x, 4).block, nullptr);
  EXPECT_EQ(s.slot_of(0, Quantity::x, 4).value, a.m.draft.nodes[4].at.x);
  EXPECT_EQ(s.slot_of(0, Quantity::angle, 3).block, nullptr);
  EXPECT_NE(s.slot_of(0, Quantity::h0, 2).block, nullptr);
}

// Both ends of a vertical straight share x: if one of them stays, so does x, unless it moves along.
TEST(JointScalars, ASharedCoordinateMovesOnlyIfAllItsNodesDo) {
  std::size_t vertical = 0;
  const DraftLoop d = support::RoundFoot().draft;
  while (!d.segments[vertical].vertical) ++vertical;
  Alone one({vertical}), both({vertical, d.next(vertical)});
  EXPECT_EQ(one.scalars().slot_of(0, Quantity::x, vertical).block, nullptr);
  EXPECT_NE(one.scalars().slot_of(0, Quantity::y, vertical).block, nullptr);
  EXPECT_NE(both.scalars().slot_of(0, Quantity::x, vertical).block, nullptr);
  EXPECT_NE(one.scalars(Bound::move_along).slot_of(0, Quantity::x, d.next(vertical)).block, nullptr);
  EXPECT_EQ(one.scalars(Bound::move_along).slot_of(0, Quantity::y, d.next(vertical)).block, nullptr);
}

TEST(JointScalars, APinnedCoordinateStaysAndBringsWhatSharesIt) {
  Alone a(all());
  DraftLoop& d = a.m.draft;
  std::size_t vertical = 0;
  while (!d.segments[vertical].vertical) ++vertical;
  d.nodes[vertical].fixed_x = true;
  d.nodes[vertical].at.x += 3;
  JointScalars s = a.scalars();
  EXPECT_EQ(s.slot_of(0, Quantity::x, d.next(vertical)).block, nullptr);
  EXPECT_NEAR(s.slot_of(0, Quantity::x, d.next(vertical)).value, d.nodes[vertical].at.x, 1e-6);
}

// A tie between four handles: one of them becomes a sum of the others, and the tie holds in what comes back.
TEST(JointScalars, ATiedScalarIsASumOfFreeOnes) {
  Alone a(all());
  ScalarIndex index;
  index.add(a.m.draft);
  const std::size_t segments[] = {0, 2, 3, 4};
  Tie tie;
  for (std::size_t k = 0; k < 4; ++k)
    tie.terms.push_back({index.of(0, Quantity::h0, segments[k]), k % 2 == 0 ? 1 : -1});
  JointScalars s(a.loops, {tie}, Bound::move_along);
  ASSERT_TRUE(s.gather());
  DraftLoop out = a.m.draft;
  ASSERT_TRUE(s.read_back(0, &out));
  std::size_t most_parts = 0;
  double tied = 0;
  for (std::size_t k = 0; k < 4; ++k) {
    const auto parts = s.parts_of(s.slot_of(0, Quantity::h0, segments[k]).block);
    double sum = 0;
    for (const auto& p : parts) sum += p.factor * *p.block;
    EXPECT_NEAR(out.segments[segments[k]].start.handle_px, sum, 1e-9) << k;
    most_parts = std::max(most_parts, parts.size());
    tied += (k % 2 == 0 ? 1 : -1) * sum;
  }
  EXPECT_GT(most_parts, 1u);
  EXPECT_NEAR(tied, 0, 1e-9);
}

// Two corners that share a coordinate but were found far apart: each has a range of its own, and they do not meet.
TEST(JointScalars, RangesThatDoNotMeetLeaveThatOfTheFreeOne) {
  Alone a(all());
  std::size_t vertical = 0;
  while (!a.m.draft.segments[vertical].vertical) ++vertical;
  JointScalars s = a.scalars();
  const auto [free, other] = std::minmax({vertical, a.m.draft.next(vertical)});
  const double x = a.m.draft.nodes[vertical].at.x;
  const auto range_of = [&](double low, double high) {
    const auto ranges = s.ranges({{{Quantity::x, free, x - 1, x + 1}, {Quantity::x, other, low, high}}});
    EXPECT_EQ(ranges.size(), 1u);
    EXPECT_TRUE(ranges[0].tied);
    return std::pair(ranges[0].low - x, ranges[0].high - x);
  };
  EXPECT_EQ(range_of(x - 0.5, x + 4), std::pair(-0.5, 1.0));
  EXPECT_EQ(range_of(x + 5, x + 7), std::pair(-1.0, 1.0));
}

TEST(JointScalars, NotANumberIsSeen) {
  Alone a(all());
  a.m.draft.segments[1].start.handle_px = std::nan("");
  EXPECT_FALSE(JointScalars(a.loops, {}, Bound::hold_others).gather());
}

}  // namespace
}  // namespace batten
