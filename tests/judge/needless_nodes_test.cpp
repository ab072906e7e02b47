#include "judge/needless_nodes.h"

#include <gtest/gtest.h>

#include <set>

#include "base/cubic.h"
#include "judge/name_nodes.h"
#include "support/drafts.h"

namespace batten {
namespace {

// The D, its upper right curve cut in three by de Casteljau, which changes nothing: nodes 2 and 3 are new.
Outline cut_in_three() {
  const Outline d = support::d_with_round_foot();
  const auto [first, rest] = split(d.segment(1), 1.0 / 3);
  const auto [second, third] = split(rest, 0.5);
  std::vector<Cubic> cubics{d.segment(0), first, second, third};
  for (std::size_t i = 2; i < d.nodes.size(); ++i) cubics.push_back(d.segment(i));
  Outline out = support::outline_from(cubics);
  name_nodes(&out);
  return out;
}

std::set<std::size_t> indices(const std::vector<NeedlessNode>& nodes) {
  std::set<std::size_t> out;
  for (const NeedlessNode& n : nodes) out.insert(n.node);
  return out;
}

TEST(NeedlessNodes, WhatACutLeftCanGoAndNothingElse) {
  const auto found = needless_nodes(cut_in_three(), 0.25);
  EXPECT_EQ(indices(found), (std::set<std::size_t>{2, 3}));
  ASSERT_EQ(found.size(), 2u) << "each is named once";
  for (const NeedlessNode& n : found) EXPECT_LT(n.change_px, 0.02) << "one cubic was there before";
}

TEST(NeedlessNodes, CornersAndExtremesStayHoweverWideTheTolerance) {
  Outline d = support::d_with_round_foot();
  name_nodes(&d);
  EXPECT_TRUE(needless_nodes(d, 1000).empty());
}

TEST(NeedlessNodes, OnAStraightTheChangeIsTheDistanceFromTheChord) {
  Outline o = support::polygon({{0, 0}, {100, 0.3}, {200, 0}, {200, 100}, {0, 100}});
  name_nodes(&o);
  const auto found = needless_nodes(o, 0.31);
  ASSERT_EQ(indices(found), std::set<std::size_t>{1});
  EXPECT_NEAR(found[0].change_px, 0.3, 1e-9);
  EXPECT_TRUE(needless_nodes(o, 0.29).empty());
}

TEST(NeedlessNodes, TheLeastChangeComesFirst) {
  // Two nodes of one side, 0.1 and 0.4 px off it: without the first the other lies off a longer chord.
  Outline o = support::polygon({{0, 0}, {60, 0.1}, {140, 0.4}, {200, 0}, {200, 100}, {0, 100}});
  name_nodes(&o);
  const auto found = needless_nodes(o, 1);
  ASSERT_EQ(found.size(), 2u);
  EXPECT_EQ(found[0].node, 1u);
  EXPECT_EQ(found[1].node, 2u);
  EXPECT_LE(found[0].change_px, found[1].change_px);
  EXPECT_NEAR(found[1].change_px, 0.4, 0.01) << "against the outline as it was, which reaches 0.4 px out";
}

TEST(NeedlessNodes, TheEndsOfAnOpenLineStay) {
  Outline o = cut_in_three();
  o.closed = false;
  for (const NeedlessNode& n : needless_nodes(o, 1000)) {
    EXPECT_NE(n.node, 0u);
    EXPECT_NE(n.node + 1, o.nodes.size());
  }
}

}  // namespace
}  // namespace batten
