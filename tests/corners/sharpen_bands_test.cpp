// A band whose loop was located with a long average: corners rounded, and once more with a short one.
#include "corners/sharpen_bands.h"

#include <gtest/gtest.h>

#include "support/band_drawing.h"

namespace batten {
namespace {

constexpr double w = 12, sd = 3;

struct RoundedSquare {
  std::vector<Point> drawn = {{60, 60}, {220, 60}, {220, 220}, {60, 220}};
  ArcLoop located = smooth(resample(drawn, 1), 0.6 * w);
  Plane<float> ink = closed();
  Plane<float> closed() const {
    std::vector<Point> line = drawn;
    line.push_back(drawn[0]);
    return support::band_along(line, 280, sd);
  }
  ArcLoop sharpened(const std::stop_token& stop = {}) const {
    return sharpened_band(located, 0, w, LoopIndex({&located}, 1.5, w), ink, 0, stop);
  }
};

double off_px(const ArcLoop& loop, Point p) { return distance(loop.at(nearest_arc(loop, p, 0, loop.length_px())), p); }

TEST(SharpenedBand, CornersComeNearer) {
  const RoundedSquare s;
  const ArcLoop sharp = s.sharpened();
  for (Point corner : s.drawn) EXPECT_LT(off_px(sharp, corner), 0.7 * off_px(s.located, corner));
}

TEST(SharpenedBand, SidesStayOnTheMiddleOfTheInk) {
  const RoundedSquare s;
  const ArcLoop sharp = s.sharpened();
  for (Point on_side : {Point{140, 60}, Point{220, 140}, Point{140, 220}, Point{60, 140}})
    EXPECT_LT(off_px(sharp, on_side), 0.1);
}

TEST(SharpenedBand, ALoopBesideTheInkIsMovedOntoIt) {
  RoundedSquare s;
  for (Point& p : s.located.points) p = p + Point{1.5, 0};
  const ArcLoop sharp = s.sharpened();
  EXPECT_LT(off_px(sharp, {220, 140}), 0.3);
  EXPECT_LT(off_px(sharp, {60, 140}), 0.3);
}

TEST(SharpenedBand, StopsSoonWhenAsked) {
  const RoundedSquare s;
  std::stop_source stop;
  stop.request_stop();
  EXPECT_EQ(s.sharpened(stop.get_token()).points, s.located.points) << "nothing was done";
}

}  // namespace
}  // namespace batten
