#include "network/choose_way.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"
#include "support/pencil.h"
#include "support/shapes.h"

namespace batten {
namespace {

RoughLoop ring(Point centre, double radius_px) {
  Polyline points = circle_path(centre, radius_px);
  points.pop_back();
  return {points, 0};
}

const Ink& paper() {
  static const Ink ink{Plane<float>(300, 300), 0.004};
  return ink;
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
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::automatic), std::vector<char>{0});
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::lines), std::vector<char>{1});
}

TEST(ChooseWay, LinesThatNoLoopExplainsAreANetworkUnlessOutlinesWereAskedFor) {
  const Patches patches = one_patch(Kind::outlined, 5000, 6);
  const std::vector<CellLoops> traced{{{ring({150, 150}, 100)}, 0.6, false}};
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::automatic), std::vector<char>{1});
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::outlined), std::vector<char>{0});
}

TEST(ChooseWay, LoopsTooSmallToBeShapesExplainNothing) {
  const Patches patches = one_patch(Kind::outlined, 5000, 6);
  const RoughLoop eye = ring({150, 150}, 7);  // 154 px2 of the 216 that 6 widths squared are
  ASSERT_TRUE(is_tiny(eye, 6));
  ASSERT_FALSE(is_tiny(ring({150, 150}, 9), 6));
  std::vector<CellLoops> traced{{{ring({150, 150}, 100), eye}, 0.99, false}};
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::automatic), std::vector<char>{0})
      << "7 of 107 parts of the length: one counter that closed up";
  traced[0].loops.push_back(eye);
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::automatic), std::vector<char>{1});
}

// A letter O in searching strokes that lie twice as far from the line as usual.
TEST(ChooseWay, SearchingStrokesThatLieApartAreABundle) {
  int bundles = 0, outlines = 0;
  for (std::uint64_t k = 0; k < 10; ++k) {
    const std::vector<Outline> letter{support::circle({330, 330}, 260, 4, support::standard_handle(4)),
                                      support::circle({330, 330}, 160, 4, support::standard_handle(4))};
    support::Manner manner;
    manner.spread = 2;
    support::Sheet sheet(660, 660, support::Random("choose way", "bundle", k), manner);
    sheet.draw(letter, support::Hand::loose);
    const support::GrayImage scan = sheet.scanned();
    const Job job;
    Progress progress(job, Stage::patches, 0, 1);
    auto loaded = load_scan({scan.pixels.data(), scan.width, scan.height, scan.width}, progress);
    const auto ink = separate_ink(*loaded, progress);
    std::vector<Finding> findings;
    const auto patches = find_patches(*ink, {}, progress, &findings);
    ASSERT_TRUE(patches);
    std::vector<CellLoops> traced;
    for (std::size_t i = 0; i < patches->patches.size(); ++i) {
      traced.push_back(trace_lines_or_bundles(*ink, *patches, int(i), 1, {}));
      bundles += traced.back().wider > 1;
    }
    for (const char in_network : belongs_to_network(*ink, *patches, traced, Options::DrawingKind::automatic))
      outlines += !in_network;
  }
  std::printf("%d of 20 rings are outlines, %d of them bundles\n", outlines, bundles);
  EXPECT_GE(outlines, 19);
  EXPECT_GE(bundles, 3);
}

TEST(ChooseWay, SolidShapesGoWithTheLinesThatAreToBeKept) {
  Patches patches = one_patch(Kind::filled, 5000, 40);
  const std::vector<CellLoops> traced{{{ring({150, 150}, 100)}, 1, false}};
  const auto belongs = [&](Options::Construction construction) {
    return belongs_to_network(paper(), patches, traced, Options::DrawingKind::automatic, {}, construction).at(0) != 0;
  };
  EXPECT_FALSE(belongs(Options::Construction::keep)) << "there are none";
  patches.patches[0].has_lines = true;
  EXPECT_TRUE(belongs(Options::Construction::keep));
  EXPECT_FALSE(belongs(Options::Construction::leave_out));
}

TEST(ChooseWay, LoneRingsAmongMoreLinesAreLines) {
  Patches patches = one_patch(Kind::outlined, 5000, 6);
  patches.patches.push_back(patches.patches.front());
  patches.patches.back().measure.area_px2 = 300;
  const std::vector<CellLoops> traced{{{}, 0, false}, {{ring({150, 150}, 20)}, 1, false}};
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::automatic), (std::vector<char>{1, 1}));
  patches.patches.back().measure.area_px2 = 30000;
  EXPECT_EQ(belongs_to_network(paper(), patches, traced, Options::DrawingKind::automatic), (std::vector<char>{1, 0}));
}

RoughLoop box_loop(Point low, Point high) {
  Polyline points;
  const Polyline corners = box_path(low, high);
  for (std::size_t i = 0; i + 1 < corners.size(); ++i)
    for (int k = 0; k < 20; ++k) points.push_back(corners[i] + (k / 20.) * (corners[i + 1] - corners[i]));
  return {points, 0};
}

TEST(ChooseWay, BoxesShareABorderThatWasDrawnOnceAndNotWallsThatTouch) {
  Patch patch{1, {0, 0, 300, 300}, Kind::outlined, {}};
  patch.measure.band_px = 6, patch.measure.top = 0.6;
  const Ink once = ink_of_lines({.width = 300, .height = 300, .line_px = 6},
                                {box_path({50, 50}, {150, 250}), box_path({150, 50}, {250, 250})});
  const std::vector<RoughLoop> loops{box_loop({50, 50}, {150, 250}), box_loop({150, 50}, {250, 250})};
  EXPECT_NEAR(shared_border(once, patch, loops), 0.25, 0.02) << "one side of four each";
  const Ink twice = ink_of_lines({.width = 300, .height = 300, .line_px = 6},
                                 {box_path({50, 50}, {148, 250}), box_path({152, 50}, {250, 250})});
  EXPECT_LT(shared_border(twice, patch, loops), 0.05);
}

}  // namespace
}  // namespace batten
