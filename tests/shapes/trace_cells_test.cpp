#include "shapes/trace_cells.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "api/pixel_pipeline.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

Loops trace(const PencilSheet& sheet, unsigned seed = 31) {
  std::vector<Finding> findings;
  const auto scanned = sheet.with_grain(seed).scan(seed);
  auto loops = loops_from_pixels(scanned.view(), {}, {}, findings);
  EXPECT_TRUE(loops.ok()) << (loops.ok() ? "" : loops.error().message);
  return loops.ok() ? std::move(*loops) : Loops{};
}

TEST(TraceCells, ALineGivesOneLoopInItsMiddle) {
  PencilSheet sheet(300, 300);
  sheet.ring({150.3, 149.6}, 90, 5, 0.7);
  const Loops loops = trace(sheet);
  ASSERT_EQ(loops.loops.size(), 1u);
  EXPECT_EQ(loops.loops[0].kind, Kind::outlined);
  double sum = 0;
  for (const Point& p : loops.loops[0].points) {
    const double r = std::hypot(p.x - 150.3, p.y - 149.6);
    EXPECT_NEAR(r, 90, 0.4);
    sum += r;
  }
  EXPECT_NEAR(sum / double(loops.loops[0].points.size()), 90, 0.05);
  EXPECT_GT(signed_area_px2(loops.loops[0].points), 0);
}

TEST(TraceCells, ManyStrokesGiveOneLoopInTheirMiddle) {
  PencilSheet sheet(400, 400);
  for (const double offset : {-5., -2.5, 0., 2., 5.5})
    sheet.ring({200 + offset * 0.3, 200 - offset * 0.2}, 120 + offset, 3, 0.45);
  const Loops loops = trace(sheet);
  ASSERT_EQ(loops.loops.size(), 1u);
  for (const Point& p : loops.loops[0].points) EXPECT_NEAR(std::hypot(p.x - 200, p.y - 200), 120, 2.5);
}

// Merging cells takes the square of their number: of a net with thousands of meshes it is said that none were looked
// at.
TEST(TraceCells, APatchOfThousandsOfCellsIsNamed) {
  for (const double mesh_px : {26., 60.}) {
    PencilSheet sheet(1600, 1600);
    std::mt19937 random(9);  // unevenly apart, or the net would be taken for squared paper
    const auto uneven = [&] { return mesh_px * (0.7 + 0.6 * double(random()) / 4294967296.); };
    for (double x = 15; x < 1585; x += uneven()) sheet.line({x, 10}, {x + 40 * std::sin(x), 1590}, 3, 0.7);
    for (double y = 15; y < 1585; y += uneven()) sheet.line({10, y}, {1590, y + 40 * std::cos(y)}, 3, 0.7);
    std::vector<Finding> findings;
    const auto scanned = sheet.scan(33);
    ASSERT_TRUE(loops_from_pixels(scanned.view(), {}, {}, findings).ok());
    const auto named = std::count_if(findings.begin(), findings.end(), [](const Finding& f) {
      return f.what == Finding::What::fallback && f.text.find("thousands of places") != std::string::npos;
    });
    EXPECT_EQ(named, mesh_px < 50) << mesh_px;
  }
}

// One patch, so that the second thread reads it the other way beside the first.
TEST(TraceCells, TwoThreadsGiveTheSameLoops) {
  PencilSheet sheet(400, 400);
  for (const double offset : {-5., -2.5, 0., 2., 5.5})
    sheet.ring({200 + offset * 0.3, 200 - offset * 0.2}, 120 + offset, 3, 0.45);
  sheet.ring({200, 200}, 60, 5, 0.7);
  const auto scanned = sheet.with_grain(31).scan(31);
  std::vector<Loop> loops[2];
  for (const int threads : {1, 2}) {
    Options options;
    options.threads = threads;
    std::vector<Finding> findings;
    auto found = loops_from_pixels(scanned.view(), options, {}, findings);
    ASSERT_TRUE(found.ok());
    loops[threads - 1] = std::move(found->loops);
  }
  ASSERT_EQ(loops[0].size(), loops[1].size());
  for (std::size_t i = 0; i < loops[0].size(); ++i) EXPECT_EQ(loops[0][i].points, loops[1][i].points);
}

TEST(TraceCells, CountersAreTurnedRound) {
  PencilSheet sheet(300, 300);
  sheet.ring({150, 150}, 110, 5, 0.7);
  sheet.ring({150, 150}, 60, 5, 0.7);  // a counter: its own patch of ink
  sheet.ring({150, 150}, 20, 5, 0.7);  // an island in it
  const Loops loops = trace(sheet);
  ASSERT_EQ(loops.loops.size(), 3u);
  for (const Loop& l : loops.loops) {
    const double area = signed_area_px2(l.points);
    EXPECT_EQ(area > 0, std::abs(area) > 20000 || std::abs(area) < 5000) << area;
  }
}

TEST(TraceCells, AGapInTheLineIsBridged) {
  for (const int gap : {3, 4, 6, 8}) {
    PencilSheet sheet(300, 300);
    sheet.box(60, 60, 240, 240, 5, 0.7);
    sheet.ring({150, 150}, 40, 5, 0.7);
    sheet.erase(140, 50, 140 + gap, 70);
    sheet.erase(230, 100, 250, 100 + gap);
    std::vector<Finding> findings;
    const auto scanned = sheet.with_grain(3).scan(3);
    const auto loops = loops_from_pixels(scanned.view(), {}, {}, findings);
    ASSERT_TRUE(loops.ok());
    ASSERT_EQ(loops->loops.size(), 2u) << gap;
    EXPECT_NEAR(
        std::max(std::abs(signed_area_px2(loops->loops[0].points)), std::abs(signed_area_px2(loops->loops[1].points))),
        180 * 180, 400);
    // Wide gaps are reported, with their shape.
    EXPECT_EQ(findings.size(), gap > 5 ? 1u : 0u) << gap;
    for (const Finding& f : findings) EXPECT_EQ(f.what, Finding::What::fallback);
  }
}

TEST(TraceCells, TwoLettersCloseByAreNotJoined) {
  for (const double gap : {6., 9., 14., 20.}) {
    PencilSheet sheet(400, 300);
    sheet.box(40, 60, 180, 240, 5, 0.7);
    sheet.box(180 + gap, 60, 340, 240, 5, 0.7);
    EXPECT_EQ(trace(sheet).loops.size(), 2u) << "straight walls " << gap;
    PencilSheet round(400, 300);
    round.ring({110, 150}, 80, 5, 0.7);
    round.ring({270 + gap, 150}, 80, 5, 0.7);
    EXPECT_EQ(trace(round).loops.size(), 2u) << "round walls " << gap;
    PencilSheet serifs(400, 300);  // foot to foot
    serifs.box(40, 210, 180, 230, 5, 0.7);
    serifs.box(180 + gap, 210, 340, 230, 5, 0.7);
    EXPECT_EQ(trace(serifs).loops.size(), 2u) << "feet " << gap;
  }
}

TEST(TraceCells, LettersThatTouchAreNotJoined) {
  PencilSheet sheet(400, 300);
  sheet.box(40, 60, 180, 240, 5, 0.7);
  sheet.box(182, 60, 340, 240, 5, 0.7);
  EXPECT_EQ(trace(sheet).loops.size(), 2u);
  PencilSheet round(400, 300);
  round.ring({110, 150}, 80, 5, 0.7);
  round.ring({271, 150}, 80, 5, 0.7);
  EXPECT_EQ(trace(round).loops.size(), 2u);
}

TEST(TraceCells, AnInsidePinchedByItsOwnLinesIsOneLoop) {
  // Two bulbs joined by a waist so narrow that the two lines of the waist fuse.
  PencilSheet sheet(500, 300);
  const auto outline = [](double waist) {
    std::vector<Point> p{{60, 60}, {180, 60}, {235, 150 - waist}, {255, 150 - waist}, {310, 60}, {430, 60}};
    const std::size_t n = p.size();
    for (std::size_t i = 0; i < n; ++i) p.push_back({p[n - 1 - i].x, 300 - p[n - 1 - i].y});
    return p;
  };
  sheet.polygon(outline(2), 6, 0.6);
  EXPECT_EQ(trace(sheet).loops.size(), 1u);
  PencilSheet open(500, 300);
  open.polygon(outline(6), 6, 0.6);
  EXPECT_EQ(trace(open).loops.size(), 1u);
}

TEST(TraceCells, OpenLinesEncloseNothing) {
  PencilSheet sheet(300, 300);
  sheet.line({40, 150}, {260, 140}, 5, 0.7);
  std::vector<Finding> findings;
  const auto scanned = sheet.scan(5);
  Options options;
  options.drawing = Options::DrawingKind::outlined;
  const auto loops = loops_from_pixels(scanned.view(), options, {}, findings);
  ASSERT_FALSE(loops.ok());
  EXPECT_EQ(loops.error().code, ErrorCode::no_ink_found);
}

}  // namespace
}  // namespace batten
