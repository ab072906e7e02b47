#include "fit/handle_caps.h"

#include <gtest/gtest.h>

#include "base/cubic.h"
#include "support/random.h"

namespace batten {
namespace {

TEST(HandleCaps, StopShortOfTheMeetingPointOfTheTangents) {
  // A quarter circle of radius 100: its tangents meet 100 px from either end.
  const HandleCaps caps = handle_caps({0, -100}, {1, 0}, {100, 0}, {0, 1});
  EXPECT_LT(caps.start_px, 100);
  EXPECT_GT(caps.start_px, 55.3);  // what the circle itself needs
  EXPECT_DOUBLE_EQ(caps.start_px, caps.end_px);
}

// Handles that end before the meeting point make a convex control polygon, and then the curve is convex (variation
// diminishing property: Farin, "Curves and Surfaces for CAGD", 5th edition, 2002, "Bezier Curve Topics").
TEST(HandleCaps, WithinThemACurveThatTurnsOneWayStaysConvex) {
  support::Random r("HandleCaps", "convex");
  for (int k = 0; k < 500; ++k) {
    const double before = r.uniform(0.02, 2.8), after = r.uniform(0.02, 3.1 - before);  // radians against the chord
    const Point p0{0, 0}, p3{100, 0}, t0 = direction(-before), t3 = direction(after);
    const HandleCaps caps = handle_caps(p0, t0, p3, t3);
    const double least = 1.5 * shortest_handle * 100 + 1e-9;
    if (caps.start_px <= least || caps.end_px <= least) continue;  // the floor, for segments that hardly bend
    const Cubic c{p0, p0 + caps.start_px * t0, p3 - caps.end_px * t3, p3};
    for (int i = 1; i < 64; ++i) EXPECT_GE(curvature(c, i / 64.0), -1e-9) << before << " " << after;
  }
}

TEST(HandleCaps, LeaveRoomForAHalfCircleAndMore) {
  // Half: 4/3 R; three quarters: 4/3 tan(3 pi / 8) R = 3.219 R (Goldapp, CAGD 8, 1991: 4/3 tan(alpha / 4)).
  EXPECT_GT(handle_caps({0, 0}, {0, -1}, {200, 0}, {0, 1}).start_px, 4.0 / 3 * 100);
  const double chord = 100 * std::sqrt(2.0);
  EXPECT_GT(handle_caps({0, 0}, direction(-3 * pi / 4), {chord, 0}, direction(3 * pi / 4)).start_px, 3.219 * 0.7 * 100);
}

TEST(HandleCaps, NeverFallBelowWhatIsWorthDrawing) {
  support::Random r("HandleCaps", "least");
  for (int k = 0; k < 300; ++k) {
    const HandleCaps caps =
        handle_caps({0, 0}, direction(r.uniform(-3.2, 3.2)), {50, 0}, direction(r.uniform(-3.2, 3.2)));
    EXPECT_GE(caps.start_px, 1.5 * shortest_handle * 50 - 1e-12);
    EXPECT_LE(caps.start_px, 80 + 1e-12);
    EXPECT_GE(caps.end_px, 1.5 * shortest_handle * 50 - 1e-12);
    EXPECT_LE(caps.end_px, 80 + 1e-12);
  }
  const HandleCaps point = handle_caps({5, 5}, {1, 0}, {5, 5}, {-1, 0});
  EXPECT_TRUE(std::isfinite(point.start_px) && std::isfinite(point.end_px));
}

}  // namespace
}  // namespace batten
