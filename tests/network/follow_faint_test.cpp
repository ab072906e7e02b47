#include "network/follow_faint.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "../support/drawn_lines.h"

namespace batten {
namespace {

// Two halves of a level line, the first up to x = 100 and the second from x = 160, on paper with grain; `between` says
// how dark the paper is at a place between them, as a share of a line.
template <class Darkness>
LineMask mask_of(const Darkness& between) {
  constexpr int width = 260, height = 120;
  LineMask mask;
  mask.dark = 0.5, mask.width_px = mask.stroke_px = 5;
  mask.ink = Plane<float>(width, height);
  mask.lines = mask.solid = mask.toned = Plane<std::uint8_t>(width, height);
  std::mt19937 random(7);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const bool drawn = std::abs(y - 60) <= 2 && ((x >= 10 && x <= 100) || (x >= 160 && x <= 250));
      const double grain = 0.02 * (double(random()) / 4294967296. - 0.5);
      mask.lines.at(x, y) = drawn;
      mask.ink.at(x, y) = float(mask.dark * (drawn ? 1 : between(x, y)) + grain);
    }
  return mask;
}

LineNetwork halves() {
  LineNetwork net;
  for (const auto& [a, b] : {std::pair{Point{10, 60}, Point{100, 60}}, std::pair{Point{160, 60}, Point{250, 60}}}) {
    const int from = net.add_node(a), to = net.add_node(b);
    net.add_edge(from, to, straight_path(a, b));
  }
  return net;
}

TEST(FollowFaint, APaleStretchOfALineIsFollowedWhereItRuns) {
  const auto bow_y = [](int x) { return 60 + 5 * std::sin((x - 100) * 3.14159265 / 60); };
  const LineMask mask =
      mask_of([&](int x, int y) { return x > 100 && x < 160 && std::abs(y - bow_y(x)) <= 1.5 ? 0.12 : 0; });
  LineNetwork net = halves();
  EXPECT_EQ(follow_faint(mask, &net), 1);
  ASSERT_EQ(net.living().size(), 1u);
  for (const Point p : net.edges[net.living().front()].points) {
    const bool pale = p.x > 100 && p.x < 160;
    EXPECT_NEAR(p.y, pale ? bow_y(int(p.x)) : 60, 2.5) << p.x;
  }
}

TEST(FollowFaint, NothingButPaperJoinsNothing) {
  const LineMask mask = mask_of([](int, int) { return 0.; });
  LineNetwork net = halves();
  EXPECT_EQ(follow_faint(mask, &net), 0);
  EXPECT_EQ(net.living().size(), 2u);
}

TEST(FollowFaint, WhatIsAsDarkBesideIsNoLine) {
  const LineMask mask = mask_of([](int x, int y) { return x > 100 && x < 160 && (x + 2 * y) % 9 < 4 ? 0.15 : 0; });
  LineNetwork net = halves();
  EXPECT_EQ(follow_faint(mask, &net), 0) << "texture of the paper";
}

TEST(FollowFaint, AStretchThatBreaksOffIsNotFollowed) {
  const LineMask mask = mask_of(
      [](int x, int y) { return ((x > 100 && x < 118) || (x > 145 && x < 160)) && std::abs(y - 60) <= 1 ? 0.2 : 0; });
  LineNetwork net = halves();
  EXPECT_EQ(follow_faint(mask, &net), 0);
}

TEST(FollowFaint, GrainOfShadingIsNoLine) {
  LineMask mask = mask_of([](int x, int y) { return x > 100 && x < 160 && std::abs(y - 60) <= 1 ? 0.2 : 0; });
  LineNetwork net = halves();
  for (int y = 40; y < 80; ++y)
    for (int x = 95; x < 165; ++x) mask.toned.at(x, y) = 1;
  EXPECT_EQ(follow_faint(mask, &net), 0);
}

}  // namespace
}  // namespace batten
