#include "network/coloured_areas.h"

#include <gtest/gtest.h>

#include <random>

#include "../support/drawn_lines.h"

namespace batten {
namespace {

constexpr double line_px = 6;

// A sheet of 400 x 300 px, laid with colour where wanted.
struct Sheet {
  Scan scan{Plane<float>(400, 300, 0.95f), Plane<float>(400, 300, 0.95f), {}};
  LineMask mask;
  Sheet() {
    mask.ink = Plane<float>(400, 300), mask.lines = mask.solid = Plane<std::uint8_t>(400, 300);
    mask.width_px = mask.stroke_px = line_px;
  }
  // Crayon: its grain lets a third of the paper through.
  void crayon(int x0, int y0, int x1, int y1, float tint) {
    std::mt19937 random(3);
    for (int y = y0; y < y1; ++y)
      for (int x = x0; x < x1; ++x)
        if (random() % 3) scan.grey.at(x, y) = scan.brightest.at(x, y) - tint;
  }
  void outline(int x0, int y0, int x1, int y1) {
    for (int y = y0 - 3; y < y1 + 3; ++y)
      for (int x = x0 - 3; x < x1 + 3; ++x)
        if (x < x0 + 3 || x >= x1 - 3 || y < y0 + 3 || y >= y1 - 3) mask.lines.at(x, y) = 1;
  }
  ColouredAreas areas() const { return coloured_areas(scan, Ink{Plane<float>(400, 300), 0.01, {}}, mask, {}); }
};

TEST(ColouredAreas, AnAreaOfCrayonHasOneEdge) {
  Sheet sheet;
  sheet.crayon(100, 80, 260, 220, 0.15f);
  const ColouredAreas found = sheet.areas();
  ASSERT_EQ(found.loops.size(), 1u);
  EXPECT_EQ(found.loops[0].kind, Kind::filled);
  const auto box = box_of(found.loops[0].points);
  EXPECT_NEAR(box.low.x, 100, 2);
  EXPECT_NEAR(box.low.y, 80, 2);
  EXPECT_NEAR(box.high.x, 260, 2);
  EXPECT_NEAR(box.high.y, 220, 2);
  EXPECT_GT(found.tint.at(180, 150), 0.1f);
  EXPECT_EQ(found.tint.at(40, 150), 0);
}

TEST(ColouredAreas, PalePartsOfAnAreaBelongToIt) {
  Sheet sheet;
  sheet.crayon(100, 80, 260, 220, 0.2f);
  sheet.crayon(140, 110, 220, 190, 0.05f);
  EXPECT_EQ(sheet.areas().loops.size(), 1u);
}

TEST(ColouredAreas, WhatALineIsDrawnRoundIsThatLinesShape) {
  Sheet sheet;
  sheet.crayon(100, 80, 260, 220, 0.15f);
  sheet.outline(100, 80, 260, 220);
  const ColouredAreas found = sheet.areas();
  EXPECT_TRUE(found.loops.empty());
  EXPECT_FALSE(found.empty()) << "strokes of its colour can still be told";
}

TEST(ColouredAreas, GreyScansPaperWithATintLinesAndTablesHaveNone) {
  Sheet sheet;
  EXPECT_TRUE(sheet.areas().empty());
  for (int y = 0; y < 300; ++y)
    for (int x = 0; x < 400; ++x) sheet.scan.grey.at(x, y) -= 0.02f + 0.08f * float(x) / 400;  // lit from one side
  EXPECT_TRUE(sheet.areas().loops.empty()) << "paper";
  Sheet line;
  line.crayon(50, 100, 350, 106, 0.3f);
  EXPECT_TRUE(line.areas().loops.empty()) << "a line in coloured pencil";
  Sheet table;
  table.crayon(300, 0, 400, 300, 0.2f);
  EXPECT_TRUE(table.areas().loops.empty()) << "it runs on beyond the picture";
  Sheet grey;
  grey.scan.brightest = {};
  EXPECT_TRUE(grey.areas().empty());
}

}  // namespace
}  // namespace batten
