#include "ink/remove_construction.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::mean;
using testing::PencilSheet;

constexpr int width = 800, height = 700;

PencilSheet letter() {
  PencilSheet sheet(width, height);
  sheet.box(220, 120, 560, 580, 4, 0.75);
  sheet.ring({390, 350}, 110, 4, 0.75);
  return sheet;
}

struct Outcome {
  Ink before;
  ClearInk after;
  std::vector<Finding> findings;
};
Outcome run(const PencilSheet& sheet) {
  const Job job;
  Progress progress(job, Stage::guides, 0, 1);
  const auto scanned = sheet.scan(9);
  const auto scan = load_scan(scanned.view(), progress);
  Outcome out;
  out.before = *separate_ink(*scan, progress);
  out.after = *remove_construction({out.before, {}}, progress, &out.findings);
  return out;
}

// How far the ends of a line lie from those expected, in either order, px.
double off(const PaleLine& line, Point a, Point b) {
  a = a - Point{0.5, 0.5}, b = b - Point{0.5, 0.5};  // the page's places in the grid
  const double one = std::max(distance(line.from, a), distance(line.to, b));
  return std::min(one, std::max(distance(line.from, b), distance(line.to, a)));
}

TEST(RemoveConstruction, PaleLinesAcrossALetterGoInAnyDirection) {
  const Point from{130, 40}, to{470, 660}, level_from{40, 300}, level_to{760, 308};
  PencilSheet sheet = letter();
  sheet.line(from, to, 1.5, 0.1);
  sheet.line(level_from, level_to, 1.5, 0.1);
  const Outcome o = run(sheet.with_grain(2)), plain = run(letter().with_grain(2));
  ASSERT_EQ(o.after.construction.size(), 2u);
  for (const PaleLine& line : o.after.construction) {
    const bool level = std::abs(line.to.y - line.from.y) < 0.5 * std::abs(line.to.x - line.from.x);
    EXPECT_LT(level ? off(line, level_from, level_to) : off(line, from, to), 10);
    EXPECT_NEAR(line.darkness, 0.06, 0.04);
  }
  ASSERT_EQ(o.after.guides.size(), 1u);  // the level one serves as a guide
  EXPECT_NEAR(o.after.guides[0].y0_px + 400 * o.after.guides[0].slope, 304, 0.5);
  EXPECT_NEAR(o.after.guides[0].slope, 8 / 720., 0.002);
  ASSERT_EQ(o.findings.size(), 1u);
  EXPECT_EQ(o.findings[0].what, Finding::What::guide_removed);
  // Where the level line is bare it is gone; the letter has the ink that it has without any line.
  const PixelBox bare{600, 303, 140, 7}, side{218, 320, 5, 200}, crossed{218, 300, 5, 5};
  EXPECT_GT(mean(o.before.ink, bare), 0.008);
  EXPECT_LT(mean(o.after.ink.ink, bare), 0.15 * mean(o.before.ink, bare));
  for (const PixelBox& box : {side, crossed})
    EXPECT_NEAR(mean(o.after.ink.ink, box), mean(plain.before.ink, box), 0.03 * mean(plain.before.ink, box));
}

TEST(RemoveConstruction, WhatIsDrawnStays) {
  PencilSheet dark = letter(), frame = letter(), shading = letter();
  dark.line({40, 60}, {760, 640}, 1.5, 0.5);  // as dark as the letter, if thinner
  frame.box(100, 60, 700, 650, 1.5, 0.1);     // pale, but it meets at its corners
  for (int i = 0; i < 60; ++i) shading.line({60. + 11 * i, 40}, {20. + 11 * i, 660}, 1.5, 0.1);
  int which = 0;
  for (const PencilSheet& sheet : {letter(), dark, frame, shading}) {
    const Outcome o = run(sheet.with_grain(2));
    EXPECT_TRUE(o.after.construction.empty()) << which;
    EXPECT_TRUE(o.findings.empty());
    EXPECT_TRUE(o.after.ink.ink.values == o.before.ink.values);
    ++which;
  }
}

// A pale line is not evenly pale: where the lead caught on the tooth of the paper it is darker.
TEST(RemoveConstruction, DarkGrainsOfALineGoWithIt) {
  PencilSheet sheet = letter();
  sheet.line({40, 300}, {760, 308}, 1.5, 0.1);
  for (const double x : {80., 150., 640., 700.})
    sheet.line({x, 300 + 8 * (x - 40) / 720}, {x + 14, 300 + 8 * (x - 26) / 720}, 1.5, 0.38);
  const Outcome o = run(sheet);
  ASSERT_EQ(o.after.construction.size(), 1u);
  const PixelBox grain{150, 298, 15, 8}, side{218, 320, 5, 200};
  EXPECT_GT(mean(o.before.ink, grain), 0.03);
  EXPECT_LT(mean(o.after.ink.ink, grain), 0.15 * mean(o.before.ink, grain));
  EXPECT_GT(mean(o.after.ink.ink, side), 0.95 * mean(o.before.ink, side)) << "the letter keeps its ink";
}

TEST(RemoveConstruction, SmallAndBarePicturesPassThrough) {
  EXPECT_TRUE(run(PencilSheet(40, 300)).after.construction.empty());
  EXPECT_TRUE(run(PencilSheet(400, 300)).after.construction.empty());
}

}  // namespace
}  // namespace batten
