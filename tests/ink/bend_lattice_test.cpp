#include "ink/bend_lattice.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

constexpr int strips_across = 40, height = 770, lines = 15;

// Where line i runs: a sheet with a ridge across, whose top moves the lines by nine pixels within 300 px.
double truth(int i, double x) { return 30 + 50 * i + 9 * std::exp(-0.5 * std::pow((x - 800) / 120, 2)); }

Strips printed() {
  Strips out;
  out.mean = Plane<float>(strips_across, height);
  for (int i = 0; i < lines; ++i)
    for (int s = 0; s < strips_across; ++s)
      for (int y = 0; y < height; ++y) {
        const double off = y - truth(i, out.middle_px(s));
        out.mean.at(s, y) += float(0.1 * std::exp(-0.5 * off * off / 0.8));
      }
  out.sharp = out.mean;
  out.noise = 0.001;
  return out;
}

Lattice level() {
  Lattice out{50, 0.22, lines, 0, {}};
  for (int i = 0; i < lines; ++i) out.y_px.emplace_back(strips_across, 30 + 50. * i);
  return out;
}

TEST(BendLattice, LinesFollowAFold) {
  const Lattice bent = bend_lattice(printed(), level(), {});
  ASSERT_EQ(bent.y_px.size(), std::size_t(lines));
  for (int i = 0; i < lines; ++i)
    for (int s = 0; s < strips_across; ++s)
      EXPECT_NEAR(bent.y_px[i][s], truth(i, Strips{}.middle_px(s)), 1.5) << i << " " << s;
}

TEST(BendLattice, WhatIsDrawnBesideALineDoesNotBendIt) {
  Strips strips = printed();
  for (int s = 5; s < 12; ++s)
    for (int y = 382; y < 386; ++y) strips.sharp.at(s, y) += 0.5f;  // 4 px beside line 7
  const Lattice bent = bend_lattice(strips, level(), {});
  for (int s = 5; s < 12; ++s) EXPECT_NEAR(bent.y_px[7][s], truth(7, Strips{}.middle_px(s)), 1.5) << s;
}

TEST(BendLattice, LinesGoOnToTheEdgesOfThePicture) {
  Lattice some = level();
  some.y_px = {some.y_px.begin() + 4, some.y_px.begin() + 9};
  const Lattice bent = bend_lattice(printed(), some, {});
  ASSERT_EQ(bent.y_px.size(), std::size_t(lines));
  EXPECT_NEAR(bent.y_px[0][0], 30, 0.5);
  EXPECT_NEAR(bent.y_px[14][0], 730, 0.5);
}

TEST(BendLattice, ALatticeThatFitsStaysAsItIs) {
  Lattice straight = level();
  Strips strips = printed();
  strips.mean = strips.sharp = Plane<float>(strips_across, height);
  for (int i = 0; i < lines; ++i)
    for (int s = 0; s < strips_across; ++s)
      for (int d = -1; d <= 1; ++d) strips.sharp.at(s, 30 + 50 * i + d) = 0.1f;
  straight.y_px.resize(lines);
  const Lattice bent = bend_lattice(strips, straight, {});
  for (int i = 0; i < lines; ++i) EXPECT_EQ(bent.y_px[i], straight.y_px[i]);
}

}  // namespace
}  // namespace batten
