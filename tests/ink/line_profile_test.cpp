#include "ink/line_profile.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

namespace batten {
namespace {

// A level line 2 px wide through row 100, and shading with gaps over the columns from `from_x` on.
Plane<float> sheet(int from_x) {
  Plane<float> ink(640, 200);
  std::mt19937 random(5);
  for (int y = 0; y < ink.height; ++y)
    for (int x = 0; x < ink.width; ++x) {
      if (y == 100 || y == 101) ink.at(x, y) = 0.1f;
      if (x >= from_x && random() % 8 > 0) ink.at(x, y) = 0.8f;
    }
  return ink;
}

GuideTrack track_of(const Strips& strips) {
  const std::size_t n = std::size_t(strips.mean.width);
  GuideTrack track;
  track.y_px.assign(n, 100.5), track.gain.assign(n, 1), track.seen.assign(n, true);
  track.amplitude_px = 0.2;
  return track;
}

TEST(LineProfile, IsThatOfTheLineAlsoWhereShadingCoversSomeOfIt) {
  // Five strips of twenty are shaded, then all but five.
  for (const int from_x : {480, 160}) {
    const Plane<float> ink = sheet(from_x);
    const Strips strips = strips_of(ink);
    const GuideTrack track = track_of(strips);
    const std::vector<double> profile = profile_of({&track}, strips, ink, true);
    EXPECT_NEAR(*std::max_element(profile.begin(), profile.end()), 0.1, 0.01) << from_x;
    Plane<float> left = ink;
    subtract_line(track, profile, strips, 0.002, &left);
    EXPECT_LT(left.at(40, 100), 0.01f) << "bare";
    EXPECT_GT(left.at(600, 96), 0.79f * (ink.at(600, 96) > 0)) << "shading beside it";
  }
}

}  // namespace
}  // namespace batten
