#include "ink/pin_ink.h"

#include <gtest/gtest.h>

#include "support/pencil_sheet.h"
#include "support/pinned.h"

namespace batten {
namespace {

using testing::pin;
using Kind = Pin::Kind;

Ink ink_of(const testing::PencilSheet& sheet) {
  Ink out;
  out.ink = sheet.ink, out.noise = 0.01;
  return out;
}

Progress still() {
  static const Job job;
  return {job, Stage::ink, 0, 1};
}

TEST(PinInk, MasksHaveThePixelsWhoseCentresLieInside) {
  Plane<std::uint8_t> mask(10, 12);
  for_each_inside(mask_of({{2, 3}, {6, 3}, {6, 8}, {2, 8}}, 10, 12), [&](int x, int y) { mask.at(x, y) = 1; });
  for (int y = 0; y < 12; ++y)
    for (int x = 0; x < 10; ++x) {
      const bool on_rim = x == 6 || y == 8 || x == 1 || y == 2;  // half a pixel off: either will do
      if (!on_rim) {
        EXPECT_EQ(mask.at(x, y) != 0, x >= 2 && x < 6 && y >= 3 && y < 8) << x << " " << y;
      }
    }
  const RegionMask far = mask_of({{-1e9, -1e9}, {1e9, -1e9}, {1e9, 1e9}, {-1e9, 1e9}}, 4, 4);
  EXPECT_TRUE(far.inside.at(0, 0) && far.inside.at(3, 3));
  EXPECT_TRUE(mask_of({{20, 20}, {30, 20}, {30, 30}}, 10, 10).box.empty());
}

TEST(PinInk, LaterOnesCountAndElsewhereNothingChanges) {
  testing::PencilSheet sheet(100, 80);
  sheet.line({10, 40}, {90, 40}, 6, 0.7);
  const Ink before = ink_of(sheet);
  const std::vector<Point> box = {{30, 30}, {60, 30}, {60, 50}, {30, 50}};
  const Ink paper = *pin_ink(before, {pin(Kind::ink, box), pin(Kind::paper, box)}, still());
  const Ink ink = *pin_ink(before, {pin(Kind::paper, box), pin(Kind::ink, box)}, still());
  EXPECT_EQ(paper.ink.at(45, 40), 0);
  EXPECT_GT(ink.ink.at(45, 32), 0.4);
  for (const Ink* made : {&paper, &ink}) {
    EXPECT_EQ(made->ink.at(20, 40), before.ink.at(20, 40));
    EXPECT_EQ(made->unpinned.values, before.ink.values);
  }
}

TEST(PinInk, AGapIsClosedAsWideAndDarkAsTheLine) {
  testing::PencilSheet sheet(200, 80);
  sheet.line({10, 40}, {190, 40}, 6, 0.7);
  const float on_line = sheet.ink.at(50, 40);
  sheet.erase(80, 30, 120, 50);
  const Ink made = *pin_ink(ink_of(sheet), {pin(Kind::close_gap, {{79, 40}, {121, 40}})}, still());
  EXPECT_NEAR(made.ink.at(100, 40), on_line, 0.05);
  EXPECT_NEAR(made.ink.at(100, 40), made.ink.at(100, 41), 0.05);
  EXPECT_LT(made.ink.at(100, 46), 0.1);
  EXPECT_LT(made.ink.at(100, 34), 0.1);
}

TEST(PinInk, ACutIsTwoPixelsWide) {
  testing::PencilSheet sheet(100, 100);
  sheet.disc({50, 50}, 40, 0.7);
  const Ink made = *pin_ink(ink_of(sheet), {pin(Kind::keep_apart, {{50, 5}, {50, 95}})}, still());
  EXPECT_LT(made.ink.at(49, 50), 0.1);
  EXPECT_LT(made.ink.at(50, 50), 0.1);
  EXPECT_GT(made.ink.at(47, 50), 0.6);
  EXPECT_GT(made.ink.at(52, 50), 0.6);
}

}  // namespace
}  // namespace batten
