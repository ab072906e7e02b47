#include "network/locate_lines.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"

namespace batten {
namespace {

LinePath line_along(Polyline points, double width_px) {
  LinePath out;
  out.sure.assign(points.size(), 1);
  out.points = std::move(points);
  out.width_px = width_px;
  out.start_free = out.end_free = true;
  return out;
}

TEST(LocateLines, ALineLiesInTheMiddleOfItsInkAndEndsWithIt) {
  DrawnLines s;
  s.width = 500, s.height = 100, s.line_px = 6;
  const Ink ink = ink_of_lines(s, {{{40, 50.3}, {460, 50.3}}});
  LinePaths paths;
  paths.paths.push_back(line_along(straight_path({46, 52}, {455, 49}), 6));
  locate_lines(ink, {}, 1, &paths);
  const Polyline& found = paths.paths.front().points;
  for (const Point p : found) EXPECT_NEAR(p.y, 50.3, 0.1) << p.x;
  EXPECT_NEAR(found.front().x, 40, 4);
  EXPECT_NEAR(found.back().x, 460, 4);
}

// A line drawn in strokes of 160 px that lie on either side of it and overlap by turns: the middle of their ink steps
// from side to side, the strokes themselves run along the line.
TEST(LocateLines, ABundleOfStrokesIsFollowedInTheirDirection) {
  DrawnLines s;
  s.width = 1100, s.height = 100, s.line_px = 4;
  std::vector<Polyline> strokes;
  for (int k = 0; k < 8; ++k) {
    const double y = k % 2 ? 48 : 52, x = 40 + 120. * k;
    strokes.push_back({{x, y}, {x + 160, y}});
  }
  const Ink ink = ink_of_lines(s, strokes);
  LinePaths paths;
  paths.paths.push_back(line_along(straight_path({40, 50}, {1040, 50}), 8));
  locate_lines(ink, {}, 1, &paths);
  double square = 0;
  for (const Point p : paths.paths.front().points) square += (p.y - 50) * (p.y - 50);
  const double rms_px = std::sqrt(square / double(paths.paths.front().points.size()));
  EXPECT_LT(rms_px, 1) << "the middle of the ink lies 1.6 px off in the mean";
}

}  // namespace
}  // namespace batten
