#include "network/drop_grain.h"

#include <gtest/gtest.h>

#include "ink/separate_ink.h"

namespace batten {
namespace {

constexpr double width_px = 6;

LinePath level_line(double from_x, double to_x, double y, bool free = true) {
  LinePath path;
  for (double x = from_x; x <= to_x; ++x) path.points.push_back({x, y});
  path.sure.assign(path.points.size(), 1);
  path.width_px = width_px, path.start_free = path.end_free = free;
  return path;
}

struct Sheet {
  Ink ink;
  LinePaths paths;
  ColouredAreas coloured;
  Sheet() { ink.ink = Plane<float>(300, 300, 0); }
  void shade(int x0, int y0, int x1, int y1, float level) {
    for (int y = y0; y < y1; ++y)
      for (int x = x0; x < x1; ++x) ink.ink.at(x, y) = std::max(ink.ink.at(x, y), level);
  }
  void draw(LinePath path, float level) {
    const Point a = path.points.front(), b = path.points.back();
    shade(int(a.x), int(a.y) - 3, int(b.x) + 1, int(a.y) + 3, level);
    paths.paths.push_back(std::move(path));
  }
  std::vector<double> kept_at_y() {
    LineMask mask;
    mask.width_px = width_px;
    drop_grain(ink, mask, coloured, &paths);
    std::vector<double> out;
    for (const LinePath& p : paths.paths) out.push_back(p.points.front().y);
    return out;
  }
};

TEST(DropGrain, ALineHasPaperOnOneSideAtLeast) {
  Sheet sheet;
  sheet.shade(20, 30, 280, 160, 0.6f);
  sheet.draw(level_line(20, 280, 30), 0.8f);    // the edge of the shading
  sheet.draw(level_line(100, 200, 100), 0.8f);  // amidst it
  sheet.draw(level_line(20, 280, 220), 0.8f);   // alone
  EXPECT_EQ(sheet.kept_at_y(), (std::vector<double>{30, 220}));
}

TEST(DropGrain, ADarkLineStandsOutOfItsShading) {
  Sheet sheet;
  sheet.shade(20, 30, 280, 160, 0.3f);
  sheet.draw(level_line(60, 240, 100), 0.8f);
  EXPECT_EQ(sheet.kept_at_y().size(), 1u);
}

// Lines of close writing or of a table: other lines are near, and paper beyond them.
TEST(DropGrain, NeighboursAreNoShading) {
  Sheet sheet;
  for (const double y : {100., 107., 114.}) sheet.draw(level_line(60, 240, y), 0.8f);
  EXPECT_EQ(sheet.kept_at_y().size(), 3u);
}

TEST(DropGrain, CrumbsAreShortPaleAndEndInNothing) {
  Sheet sheet;
  sheet.draw(level_line(20, 280, 40), 0.8f);
  sheet.draw(level_line(20, 60, 80), 0.2f);          // a crumb
  sheet.draw(level_line(20, 60, 120), 0.6f);         // short
  sheet.draw(level_line(20, 200, 160), 0.2f);        // pale
  sheet.draw(level_line(20, 60, 200, false), 0.2f);  // a bridge
  EXPECT_EQ(sheet.kept_at_y(), (std::vector<double>{40, 120, 160, 200}));
}

TEST(DropGrain, AreasKeepTheirBordersAndCountThemAnew) {
  Sheet sheet;
  sheet.draw(level_line(20, 280, 40), 0.8f);
  sheet.draw(level_line(20, 60, 80), 0.2f);
  sheet.draw(level_line(20, 60, 120), 0.2f);
  sheet.paths.areas = {{{{2, false}, {0, true}}}};
  EXPECT_EQ(sheet.kept_at_y(), (std::vector<double>{40, 120}));
  EXPECT_EQ(sheet.paths.areas[0].parts[0].path, 1);
  EXPECT_EQ(sheet.paths.areas[0].parts[1].path, 0);
}

TEST(DropGrain, StrokesOfTheColourThatTheyMakeUpAreNoLines) {
  Sheet sheet;
  sheet.coloured.tint = sheet.coloured.darkness = Plane<float>(300, 300, 0);
  const auto colour = [&](double y, float tint, float darkness) {
    for (int x = 0; x < 300; ++x)
      for (int k = -3; k < 3; ++k)
        sheet.coloured.tint.at(x, int(y) + k) = tint, sheet.coloured.darkness.at(x, int(y) + k) = darkness;
  };
  colour(60, 2, 3), colour(120, 0.4f, 10), colour(180, 2, 9), colour(240, 2, 3);
  sheet.draw(level_line(100, 160, 60), 0.3f);   // a stroke of crayon
  sheet.draw(level_line(100, 160, 120), 0.8f);  // pencil under the colour
  sheet.draw(level_line(100, 160, 180), 0.8f);  // a coloured liner
  sheet.draw(level_line(20, 280, 240), 0.3f);   // long: drawn in crayon
  EXPECT_EQ(sheet.kept_at_y(), (std::vector<double>{120, 180, 240}));
}

}  // namespace
}  // namespace batten
