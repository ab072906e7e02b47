#include "ink/comb_lattice.h"

#include <gtest/gtest.h>

#include <cmath>

#include "ink/bend_lattice.h"
#include "support/random.h"

namespace batten {
namespace {

constexpr int strips_across = 40, height = 770, lines = 31;
constexpr float grain = 0.02f;

// A sheet that arches by 12 px: no straight line follows one of its own.
double truth(int i, double x) { return 11 + 24.5 * i + 12 * std::sin(x / 300); }

Strips printed(float darkness) {
  support::Random random("CombLattice", "grain", 1);
  Strips out;
  out.mean = Plane<float>(strips_across, height);
  for (float& v : out.mean.values) v = grain * float(random.uniform(-1, 1));
  for (int i = 0; i < lines; ++i)
    for (int s = 0; s < strips_across; ++s)
      for (int y = 0; y < height; ++y) {
        const double off = y - truth(i, out.middle_px(s));
        out.mean.at(s, y) += float(darkness * std::exp(-0.5 * off * off));
      }
  out.sharp = out.mean;
  out.noise = grain;
  return out;
}

Lattice vertical() { return {24.5, 0.25, 20, 0.01, {}}; }

TEST(CombLattice, LinesOfAKnownPitchAreFoundAndLedOn) {
  const Strips strips = printed(0.1f);
  const auto comb = comb_lattice(strips, vertical());
  ASSERT_TRUE(comb);
  const Lattice bent = bend_lattice(strips, *comb, {});
  int followed = 0;
  for (int i = 1; i + 1 < lines; ++i) {
    double nearest = 1e300;
    for (const auto& line : bent.y_px) {
      double most = 0;
      for (int s = 0; s < strips_across; ++s) most = std::max(most, std::abs(line[s] - truth(i, strips.middle_px(s))));
      nearest = std::min(nearest, most);
    }
    followed += nearest < 1.5;
  }
  EXPECT_EQ(followed, lines - 2);
}

TEST(CombLattice, WhereNothingRepeatsAtThatPitchThereIsNone) {
  EXPECT_FALSE(comb_lattice(printed(0), vertical()));
  Lattice other = vertical();
  other.pitch_px = 31;
  EXPECT_FALSE(comb_lattice(printed(0.1f), other));
}

}  // namespace
}  // namespace batten
