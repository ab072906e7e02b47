#include "network/choose_way.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"

namespace batten {
namespace {

RoughLoop ring(Point centre, double radius_px) {
  Polyline points = circle_path(centre, radius_px);
  points.pop_back();
  return {points, 0};
}

Patches one_patch(Kind kind, double area_px2, double band_px) {
  Patches out;
  Patch patch{1, {0, 0, 300, 300}, kind, {}};
  patch.measure.band_px = patch.measure.typical_px = band_px, patch.measure.area_px2 = area_px2;
  out.patches.push_back(patch);
  return out;
}

TEST(ChooseWay, ALetterWhoseLoopsExplainItsInkIsAnOutline) {
  const Patches patches = one_patch(Kind::outlined, 5000, 6);
  const std::vector<CellLoops> traced{{{ring({150, 150}, 100), ring({150, 150}, 60)}, 0.99, false}};
  EXPECT_EQ(belongs_to_network(patches, traced, Options::DrawingKind::automatic), std::vector<char>{0});
  EXPECT_EQ(belongs_to_network(patches, traced, Options::DrawingKind::lines), std::vector<char>{1});
}

TEST(ChooseWay, LinesThatNoLoopExplainsAreANetworkUnlessOutlinesWereAskedFor) {
  const Patches patches = one_patch(Kind::outlined, 5000, 6);
  const std::vector<CellLoops> traced{{{ring({150, 150}, 100)}, 0.6, false}};
  EXPECT_EQ(belongs_to_network(patches, traced, Options::DrawingKind::automatic), std::vector<char>{1});
  EXPECT_EQ(belongs_to_network(patches, traced, Options::DrawingKind::outlined), std::vector<char>{0});
}

TEST(ChooseWay, LoneRingsAmongMoreLinesAreLines) {
  Patches patches = one_patch(Kind::outlined, 5000, 6);
  patches.patches.push_back(patches.patches.front());
  patches.patches.back().measure.area_px2 = 300;
  const std::vector<CellLoops> traced{{{}, 0, false}, {{ring({150, 150}, 20)}, 1, false}};
  EXPECT_EQ(belongs_to_network(patches, traced, Options::DrawingKind::automatic), (std::vector<char>{1, 1}));
  patches.patches.back().measure.area_px2 = 30000;
  EXPECT_EQ(belongs_to_network(patches, traced, Options::DrawingKind::automatic), (std::vector<char>{1, 0}));
}

TEST(ChooseWay, LoopsThatRunOnOneAnotherShareABorder) {
  EXPECT_EQ(shared_border({ring({100, 100}, 50), ring({300, 100}, 50)}, 6), 0);
  EXPECT_GT(shared_border({ring({100, 100}, 50), ring({100, 100}, 51)}, 6), 0.9);
}

}  // namespace
}  // namespace batten
