#include "ink/find_sheet.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "base/vec.h"
#include "ink/separate_ink.h"

namespace batten {
namespace {

constexpr int width = 900, height = 700;

struct Colour {
  double red, green, blue;
};
constexpr Colour paper{226, 222, 214}, wood{128, 84, 50}, black{14, 14, 15}, graphite{70, 70, 70};

struct Photo {
  std::vector<std::uint8_t> bytes;
  ImageView view() const { return {bytes.data(), width, height, 3 * width, PixelFormat::rgb8}; }
};

// A photograph of what `look` says is at each place (page coordinates), in light that falls off by a quarter.
Photo take(const std::function<Colour(Point)>& look) {
  Photo out;
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const Colour c = look({x + 0.5, y + 0.5});
      const double light = 1 - 0.25 * x / width;
      for (const double v : {c.red, c.green, c.blue}) out.bytes.push_back(std::uint8_t(std::lround(light * v)));
    }
  return out;
}

struct Outcome {
  Plane<std::uint8_t> no_sheet;
  Ink ink;
  double covered = 0;  // share of the picture that shows no sheet
};
Outcome run(const Photo& photo) {
  const Job job;
  Progress progress(job, Stage::ink, 0, 1);
  const auto scan = load_scan(photo.view(), progress);
  Outcome out{find_no_sheet(look_at(scan->copy), {}), *separate_ink(*scan, progress), 0};
  double sum = 0;
  for (const std::uint8_t v : out.no_sheet.values) sum += v;
  if (!out.no_sheet.empty()) out.covered = sum / double(out.no_sheet.values.size());
  return out;
}

double grain(Point p) { return 14 * std::sin(p.y / 3.1) + 9 * std::sin(p.y / 1.3 + p.x / 60); }
Colour grained(Colour c, Point p) { return {c.red + grain(p), c.green + grain(p), c.blue + grain(p)}; }

TEST(FindSheet, ATableInTheCornerIsNoSheetAndNoInk) {
  // The table lies beyond the line x + y = 1250; a stroke on the sheet ends there.
  const auto beyond = [](Point p) { return p.x + p.y - 1250; };
  const Outcome o = run(take([&](Point p) {
    if (beyond(p) > 0) return grained(wood, p);
    return std::abs(p.y - 300) < 2 && p.x > 200 ? graphite : paper;
  }));
  ASSERT_FALSE(o.no_sheet.empty());
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      // Up to nine pixels (four of the copy) of the sheet's edge count as table.
      const double off = beyond({x + 0.5, y + 0.5}) / std::sqrt(2.);
      const bool marked = o.no_sheet.at(std::min(x / 2, o.no_sheet.width - 1), y / 2);
      if (off > 2 || off < -12) {
        ASSERT_EQ(marked, off > 2) << x << " " << y;
      }
      if (marked) {
        ASSERT_EQ(o.ink.ink.at(x, y), 0) << x << " " << y;
      }
    }
  EXPECT_GT(o.ink.ink.at(500, 299), 0.5);  // the stroke stays
}

TEST(FindSheet, ADarkFrameIsNoSheet) {
  const Outcome o = run(take([](Point p) { return p.x < 60 || p.x > 800 || p.y > 670 ? black : paper; }));
  EXPECT_NEAR(o.covered, (160. * height + 740. * 30) / (width * height), 0.06);
}

TEST(FindSheet, AShadowWithASharpEdgeIsSheet) {
  const Outcome o = run(take([](Point p) {
    const double shade = p.x + 0.4 * p.y > 900 ? 0.5 : 1;
    return Colour{shade * paper.red, shade * paper.green, shade * paper.blue};
  }));
  EXPECT_TRUE(o.no_sheet.empty());
}

TEST(FindSheet, DrawingsThatRunOutOfThePictureAreNoTable) {
  const std::function<Colour(Point)> drawings[] = {
      [](Point p) { return p.y > 400 && std::abs(p.x - 300) < 90 ? graphite : paper; },   // a stem
      [](Point p) { return std::hypot(p.x - 900, p.y - 700) < 260 ? graphite : paper; },  // a bowl in the corner
      [](Point p) {
        return std::hypot(p.x - 900, p.y - 700) < 260 ? Colour{40, 90, 200} : paper;
      },                                                               // blue crayon
      [](Point p) { return p.x > 780 && p.y > 580 ? black : paper; },  // the serif of a letter
      [](Point) { return paper; }};
  for (const auto& drawing : drawings) EXPECT_TRUE(run(take(drawing)).no_sheet.empty());
}

TEST(FindSheet, APictureWithoutPaperHasNoTable) {
  const Outcome o = run(take([](Point p) { return grained(wood, {p.x, 5 * p.y}); }));
  EXPECT_TRUE(o.no_sheet.empty());
}

}  // namespace
}  // namespace batten
