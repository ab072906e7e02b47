#include "shapes/find_patches.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

struct Outcome {
  Patches patches;
  std::vector<Finding> findings;
};

Outcome find(const ImageView& view, Options::DrawingKind kind = Options::DrawingKind::automatic) {
  const Job job;
  Progress progress(job, Stage::patches, 0, 1);
  auto scan = load_scan(view, progress);
  auto ink = separate_ink(*scan, progress);
  Options options;
  options.drawing = kind;
  Outcome out;
  auto patches = find_patches(*ink, options, progress, &out.findings);
  EXPECT_TRUE(patches.ok());
  out.patches = std::move(*patches);
  return out;
}

TEST(FindPatches, BandWidthAndKindOfEachPatch) {
  PencilSheet sheet(700, 300);
  sheet.ring({120, 150}, 80, 5, 0.7);
  for (const double offset : {-6., -3., 0., 2., 5.}) sheet.ring({340 + offset * 0.4, 150}, 80 + offset, 3, 0.45);
  sheet.disc({580, 150}, 80, 0.7);
  const Outcome o = find(sheet.with_grain(2).scan(41).view());
  ASSERT_EQ(o.patches.patches.size(), 3u);
  for (const Patch& p : o.patches.patches) {
    if (p.box.x < 100) {
      EXPECT_EQ(p.kind, Kind::outlined);
      EXPECT_NEAR(p.measure.band_px, 6, 1.5);
    } else if (p.box.x < 350) {
      EXPECT_EQ(p.kind, Kind::outlined);
      EXPECT_NEAR(p.measure.band_px, 16, 4);
    } else {
      EXPECT_EQ(p.kind, Kind::filled);
    }
  }
}

// Most of the middle of such a patch is that of thin lines, and it was taken for an outline 70 px broad.
TEST(FindPatches, ASolidShapeWithPaleLinesIsFilled) {
  PencilSheet sheet(500, 300);
  for (const Point to : {Point{20, 30}, Point{30, 280}, Point{470, 280}, Point{250, 20}, Point{480, 40}}) {
    sheet.line({180, 150}, to, 3, 0.45);
    sheet.line({480, 150}, to, 3, 0.45);
  }
  sheet.ring({180, 150}, 70, 50, 0.95);
  const Outcome o = find(sheet.scan(43).view());
  ASSERT_EQ(o.patches.patches.size(), 1u);
  EXPECT_EQ(o.patches.patches[0].kind, Kind::filled);
  EXPECT_TRUE(o.patches.patches[0].has_lines);
}

TEST(FindPatches, LinesThatLeadToADotOfTheSameInkStayLines) {
  PencilSheet sheet(500, 300);
  for (const Point to : {Point{20, 30}, Point{30, 280}, Point{470, 280}, Point{250, 20}, Point{480, 40}})
    sheet.line({180, 150}, to, 4, 0.8);
  sheet.disc({180, 150}, 14, 0.8);
  const Outcome o = find(sheet.with_grain(3).scan(44).view());
  ASSERT_EQ(o.patches.patches.size(), 1u);
  EXPECT_EQ(o.patches.patches[0].kind, Kind::outlined);
  EXPECT_FALSE(o.patches.patches[0].has_lines);
}

TEST(FindPatches, TheCallerMayTellTheKind) {
  PencilSheet sheet(300, 300);
  sheet.ring({150, 150}, 80, 5, 0.7);
  const auto scanned = sheet.scan(42);
  EXPECT_EQ(find(scanned.view()).patches.patches.at(0).kind, Kind::outlined);
  EXPECT_EQ(find(scanned.view(), Options::DrawingKind::filled).patches.patches.at(0).kind, Kind::filled);
}

TEST(FindPatches, SpecksAndSmearsAreDroppedAndCounted) {
  PencilSheet sheet(500, 400);
  sheet.box(150, 100, 350, 300);
  for (const Point p : {Point{30, 40}, Point{450, 60}, Point{60, 350}}) sheet.line(p, p + Point{2, 1}, 3, 0.8);
  sheet.line({380, 380}, {480, 380}, 20, 0.06);  // an eraser's smear
  const Outcome o = find(sheet.scan(43).view());
  EXPECT_EQ(o.patches.patches.size(), 1u);
  ASSERT_EQ(o.findings.size(), 1u);
  EXPECT_EQ(o.findings[0].what, Finding::What::dropped_speck);
  EXPECT_NE(o.findings[0].text.find("3 specks"), std::string::npos) << o.findings[0].text;
}

TEST(FindPatches, ABrokenLineIsOnePatchDistantLettersAreTwo) {
  PencilSheet sheet(500, 300);
  sheet.box(40, 60, 200, 240, 5, 0.7);
  sheet.erase(110, 50, 115, 70);
  sheet.erase(110, 230, 115, 250);
  sheet.box(300, 60, 460, 240, 5, 0.7);
  EXPECT_EQ(find(sheet.scan(44).view()).patches.patches.size(), 2u);
}

TEST(FindPatches, CrispThinLineIsOutlinedCrispThinLetterIsFilled) {
  PencilSheet line(400, 400), letter(400, 400);
  line.ring({200, 200}, 150, 4, 1);
  letter.box(100, 100, 110, 300, 12, 1);
  const auto a = line.scan(0, 0, 255, 0), b = letter.scan(0, 0, 255, 0);
  EXPECT_EQ(find(a.view()).patches.patches.at(0).kind, Kind::outlined);
  EXPECT_EQ(find(b.view()).patches.patches.at(0).kind, Kind::filled);
}

}  // namespace
}  // namespace batten
