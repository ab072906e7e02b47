#include "ink/remove_circle.h"

#include <gtest/gtest.h>

#include <cmath>

#include "ink/pale_view.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::mean;
using testing::PencilSheet;

// Light passes through both: the letter keeps exactly its own ink where the ring crosses it.
TEST(RemoveCircle, LeavesWhatItCrosses) {
  PencilSheet letter(400, 400), both(400, 400);
  for (PencilSheet* sheet : {&letter, &both}) sheet->line({200, 20}, {200, 380}, 5, 0.7);
  both.ring({180, 200}, 100, 8, 0.15);
  Plane<float> ink = both.ink;
  remove_circle({{179.5, 199.5}, 100, 8, 0.15}, drawn_places(ink, 0.7), 0.001, &ink);
  double most = 0;
  for (std::size_t i = 0; i < ink.values.size(); ++i)
    most = std::max<double>(most, std::abs(ink.values[i] - letter.ink.values[i]));
  EXPECT_LT(most, 0.04);  // at the edge of the ring, whose slope is one pixel and two bins wide
  EXPECT_NEAR(mean(ink, {100, 90, 160, 220}), mean(letter.ink, {100, 90, 160, 220}), 0.0005);
}

TEST(RemoveCircle, FollowsItsDarkness) {
  PencilSheet sheet(400, 400);
  sheet.ring({200, 200}, 120, 6, 0.2);
  for (int y = 0; y < 400; ++y)
    for (int x = 0; x < 400; ++x) sheet.ink.at(x, y) *= float(0.5 + x / 400.);  // from half as dark to half darker
  Plane<float> ink = sheet.ink;
  remove_circle({{199.5, 199.5}, 120, 6, 0.2}, Plane<std::uint8_t>(400, 400), 0.001, &ink);
  for (const PixelBox& box : {PixelBox{75, 195, 10, 10}, PixelBox{315, 195, 10, 10}})
    EXPECT_LT(std::abs(mean(ink, box)), 0.02 * mean(sheet.ink, box));
}

TEST(RemoveCircle, ReachesNoFarther) {
  PencilSheet sheet(400, 400);
  sheet.ring({200, 200}, 120, 2, 0.2);
  sheet.ring({200, 200}, 140, 2, 0.2);
  Plane<float> ink = sheet.ink;
  remove_circle({{199.5, 199.5}, 120, 2.5, 0.2}, Plane<std::uint8_t>(400, 400), 0.001, &ink);
  for (int y = 0; y < 400; ++y)
    for (int x = 0; x < 400; ++x)
      if (std::abs(std::hypot(x - 199.5, y - 199.5) - 120) > 6) {
        ASSERT_EQ(ink.at(x, y), sheet.ink.at(x, y)) << x << ' ' << y;
      }
}

}  // namespace
}  // namespace batten
