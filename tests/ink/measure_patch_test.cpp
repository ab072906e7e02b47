#include "ink/measure_patch.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

// A patch whose two shares of unevenness are alike, so that it is the mean of them.
PatchMeasure patch_of(double typical_px, double uneven) {
  PatchMeasure m;
  m.top = 0.5, m.typical_px = typical_px, m.band_px = 1.1 * typical_px, m.largest_px = 1.4 * typical_px;
  m.edge_over_thickness = m.edge_over_largest = uneven, m.grain = uneven * m.top;
  return m;
}

TEST(MeasurePatch, UnevennessIsTheMeanOfEdgeAndGrain) {
  EXPECT_NEAR(unevenness(patch_of(20, 0.3)), 0.3, 1e-12);
  PatchMeasure m = patch_of(20, 0.3);
  m.grain *= 4;
  EXPECT_NEAR(unevenness(m), 0.6, 1e-12) << "geometric mean";
}

TEST(MeasurePatch, AnEvenThickPatchIsAShape) {
  EXPECT_EQ(kind_of(patch_of(40, 0.1), 400), Kind::filled);
  EXPECT_EQ(kind_of(patch_of(40, 0.2), 400), Kind::filled);
  EXPECT_EQ(kind_of(patch_of(40, 0.3), 400), Kind::outlined);
}

// 12 px are a millimetre at 300 dpi: a blunt soft lead. Letters of 400 px that are shaded have stems of over 20 px.
TEST(MeasurePatch, AnEvenLineThatIsThinForItsLengthIsALine) {
  EXPECT_EQ(kind_of(patch_of(12, 0.2), 400), Kind::outlined);
  EXPECT_EQ(kind_of(patch_of(12, 0.2), 150), Kind::filled) << "a short thick stroke";
  EXPECT_EQ(kind_of(patch_of(12, 0.08), 400), Kind::filled) << "as even as only ink and shading are";
}

TEST(MeasurePatch, WhatIsDoubtfulIsALineBesideALargerLineOfThatWidth) {
  PatchMeasure line = patch_of(12, 0.2), ring = patch_of(14, 0.19);
  line.area_px2 = 9000, ring.area_px2 = 5000;
  EXPECT_TRUE(is_line_beside(ring, line));
  EXPECT_FALSE(is_line_beside(line, ring)) << "the smaller one says nothing about the larger";
  ring.typical_px = 20;
  EXPECT_FALSE(is_line_beside(ring, line)) << "thicker than that pencil";
  PatchMeasure dot = patch_of(14, 0.1);
  dot.area_px2 = 5000;
  EXPECT_FALSE(is_line_beside(dot, line)) << "as even as only shading is";
}

TEST(MeasurePatch, WhatNobodyShadesIsALine) { EXPECT_EQ(kind_of(patch_of(8, 0.05), 30), Kind::outlined); }

TEST(MeasurePatch, WhatIsLeftWithoutPaleLinesTellsASolidShape) {
  PatchMeasure all = patch_of(3, 0.12), dark = patch_of(40, 0.06);
  all.largest_px = dark.largest_px = 80;
  all.area_px2 = 10000, dark.area_px2 = 9200;
  EXPECT_TRUE(has_thick_places(all));
  EXPECT_FALSE(has_thick_places(patch_of(12, 0.3)));
  EXPECT_TRUE(is_solid_with_lines(dark, all, 300));
  EXPECT_FALSE(is_solid_with_lines(patch_of(40, 0.2), all, 300)) << "uneven";
  dark.area_px2 = 6000;
  EXPECT_FALSE(is_solid_with_lines(dark, all, 300)) << "the lines are most of the drawing";
}

TEST(MeasurePatch, PrintIsALineOnlyWhereItIsThinThroughout) {
  PatchMeasure m = patch_of(6, 0);
  m.crisp = true;
  EXPECT_EQ(kind_of(m, 400), Kind::outlined);
  m.largest_px = 20;
  EXPECT_EQ(kind_of(m, 400), Kind::filled);
}

}  // namespace
}  // namespace batten
