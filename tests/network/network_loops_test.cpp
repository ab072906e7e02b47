#include "network/network_loops.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

// A level line that wavers by `waver_px` as quickly as two of its widths.
LinePath wavering(double length_px, double width_px, double waver_px, double y) {
  LinePath path;
  for (double x = 0; x <= length_px; ++x)
    path.points.push_back({x, y + waver_px * std::sin(x * 2 * 3.14159265 / (2 * width_px))});
  path.sure.assign(path.points.size(), 1), path.width_px = width_px;
  path.start_free = path.end_free = true;
  return path;
}

std::vector<double> sigma_widths(std::vector<LinePath> paths) {
  for (std::size_t i = 0; i < paths.size(); ++i) paths[i].first = paths[i].last = HalfEdge(2 * i);
  LinePaths all;
  all.paths = std::move(paths);
  std::vector<double> out;
  for (const Loop& loop : network_loops(all, {}, 0).loops) out.push_back(loop.sigma_px / loop.band_px);
  return out;
}

TEST(NetworkLoops, LongLinesTellHowFarShortOnesStray) {
  const std::vector<double> calm = sigma_widths({wavering(600, 5, 0.02, 10), wavering(40, 8, 2, 50)}),
                            rough = sigma_widths({wavering(600, 5, 1, 10), wavering(40, 8, 2, 50)});
  ASSERT_EQ(calm.size(), 2u);
  EXPECT_EQ(calm[0], calm[1]);
  EXPECT_EQ(rough[0], rough[1]);
  EXPECT_GT(rough[1], 1.5 * calm[1]);
}

TEST(NetworkLoops, WithoutLongLinesItIsWhatIsUsualForAWidth) {
  for (const double sigma : sigma_widths({wavering(60, 5, 1, 10), wavering(40, 8, 0, 50)}))
    EXPECT_NEAR(sigma, 0.085, 1e-9);
}

}  // namespace
}  // namespace batten
