#include "ink/subtract_print.h"

#include <gtest/gtest.h>

#include <cmath>

#include "ink/separate_ink.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

constexpr int width = 1300, height = 1000;

// From the sheet to the photograph: turned, and farther away at the top.
Point photographed(Point on_sheet, double turn_deg) {
  const double turn = turn_deg * M_PI / 180, x = on_sheet.x - width / 2., y = on_sheet.y - height / 2.;
  const Point turned{std::cos(turn) * x - std::sin(turn) * y, std::sin(turn) * x + std::cos(turn) * y};
  const double scale = 1 / (1 - 0.06 * turned.y / height);
  return {width / 2. + scale * turned.x, height / 2. + scale * turned.y};
}

// Squares of 44 px as they are photographed, pieces of 44 px so that perspective is that of each.
void print_squares(double turn_deg, PencilSheet* sheet) {
  for (int i = -8; i < 40; ++i)
    for (int k = -8; k < 40; ++k) {
      const auto at = [&](int across, int down) { return photographed({44. * across, 44. * down}, turn_deg); };
      sheet->line(at(i, k), at(i + 1, k), 1.6, 0.3);
      sheet->line(at(i, k), at(i, k + 1), 1.6, 0.3);
    }
}

void draw(PencilSheet* sheet) {
  sheet->box(220, 170, 580, 530);
  sheet->ring({850, 600}, 180, 5, 0.7);
  sheet->line({120, 880}, {1180, 700}, 4, 0.7);
}

struct Outcome {
  Plane<float> before, after;
  std::size_t lines = 0;
};
Outcome run(const PencilSheet& sheet) {
  const Job job;
  Progress progress(job, Stage::ink, 0, 1);
  const auto scanned = sheet.scan(7);
  const auto scan = load_scan(scanned.view(), progress);
  Ink ink = *separate_ink(*scan, progress);
  Outcome out{ink.ink, {}, 0};
  const Strips strips = strips_of(ink.ink);
  out.lines = subtract_print(strips, find_guides(strips, {}), ink.noise, {}, &ink.ink);
  out.after = std::move(ink.ink);
  return out;
}

// Mean ink where a picture of what was drawn alone has more than half of its ink, or none within 3 px.
double mean_where(const Plane<float>& ink, const PencilSheet& drawn, bool on) {
  double sum = 0, count = 0;
  for (int y = 20; y < height - 20; ++y)
    for (int x = 20; x < width - 20; ++x) {
      float most = 0;
      for (int dy = -3; dy <= 3; ++dy)
        for (int dx = -3; dx <= 3; ++dx) most = std::max(most, drawn.ink.at(x + dx, y + dy));
      if (on ? drawn.ink.at(x, y) > 0.5 : most == 0) sum += ink.at(x, y), count += 1;
    }
  return sum / count;
}

TEST(SubtractPrint, SquaresAskewAndInPerspectiveGoThePencilStays) {
  PencilSheet drawn(width, height);
  draw(&drawn);
  for (const double turn_deg : {0., 3., -6.}) {
    PencilSheet sheet = drawn;
    print_squares(turn_deg, &sheet);
    const Outcome o = run(sheet), pencil{run(drawn)};
    EXPECT_GT(o.lines, 45u) << turn_deg;
    // Of the print a tenth is left; the pencil has the ink that it would have on plain paper.
    const double print = mean_where(o.before, drawn, false) - mean_where(pencil.before, drawn, false);
    EXPECT_NEAR(mean_where(o.after, drawn, false) - mean_where(pencil.before, drawn, false), 0, 0.15 * print)
        << turn_deg;
    EXPECT_NEAR(mean_where(o.after, drawn, true), mean_where(pencil.before, drawn, true), 0.02) << turn_deg;
  }
}

// Lined paper that lay sideways on the glass.
TEST(SubtractPrint, VerticalLinesAloneGoToo) {
  PencilSheet drawn(width, height);
  draw(&drawn);
  PencilSheet sheet = drawn;
  for (double x = 30; x < width; x += 52) sheet.line({x, 0}, {x + 4, double(height)}, 1.6, 0.3);
  const Outcome o = run(sheet), pencil{run(drawn)};
  EXPECT_GT(o.lines, 20u);
  EXPECT_EQ(pencil.lines, 0u);
  EXPECT_NEAR(mean_where(o.after, drawn, false), mean_where(pencil.before, drawn, false), 0.002);
  EXPECT_NEAR(mean_where(o.after, drawn, true), mean_where(pencil.before, drawn, true), 0.02);
}

TEST(SubtractPrint, ADrawingOfParallelLinesIsNotPrint) {
  PencilSheet sheet(width, height);
  for (int i = 0; i < 9; ++i) sheet.line({200, 150 + 37. * i + 11 * (i % 3)}, {1100, 240 + 37. * i}, 3, 0.7);
  const Outcome o = run(sheet);
  EXPECT_EQ(o.lines, 0u);
  EXPECT_EQ(o.after.values, o.before.values);
}

}  // namespace
}  // namespace batten
