#include "ink/find_tilt.h"

#include <gtest/gtest.h>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

PencilSheet letters() {
  PencilSheet sheet(1000, 700);
  sheet.box(120, 120, 480, 560, 5, 0.7);
  sheet.polygon({{560, 600}, {700, 100}, {840, 600}}, 5, 0.7);
  return sheet;
}

TEST(FindTilt, PrintOutshinesThePencil) {
  for (const double slope : {-0.12, -0.05, 0., 0.09}) {
    PencilSheet sheet = letters();
    for (int i = -4; i < 22; ++i) sheet.line({0, 40. * i}, {1000, 40. * i + 1000 * slope}, 1.5, 0.25);
    EXPECT_NEAR(find_tilt(sheet.ink, {}), slope, 0.011) << slope;
  }
}

TEST(FindTilt, LettersAloneHaveNone) {
  EXPECT_EQ(find_tilt(letters().ink, {}), 0);
  EXPECT_EQ(find_tilt(Plane<float>(1000, 700), {}), 0);
  EXPECT_EQ(find_tilt(Plane<float>(100, 700), {}), 0);
}

TEST(Levelled, LinesOfTheSlopeComeOutLevelAndBack) {
  for (const double slope : {-0.1, 0.1}) {
    Plane<float> ink(301, 200);
    for (int x = 0; x < ink.width; ++x) ink.at(x, 100 + int(std::lround(slope * x))) = 1;
    const Plane<float> level = levelled(ink, slope);
    ASSERT_EQ(level.height, 230);
    int full = 0;
    for (int y = 0; y < level.height; ++y) full += std::count(level.row(y), level.row(y) + level.width, 1.f) == 301;
    EXPECT_EQ(full, 1);
    EXPECT_EQ(tilted_back(level, slope, 200).values, ink.values);
  }
}

}  // namespace
}  // namespace batten
