#include "ink/estimate_paper.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

constexpr int width = 600, height = 480;

// Light that falls off to the right and towards the lower edge.
double light(double x, double y) { return 0.95 - 0.2 * x / width - 0.1 * (y / height) * (y / height); }

Plane<float> sheet() {
  Plane<float> grey(width, height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) grey.at(x, y) = float(light(x + 0.5, y + 0.5));
  return grey;
}

void darken(const PixelBox& box, float factor, Plane<float>* grey) {
  for (int y = box.y; y < box.bottom(); ++y)
    for (int x = box.x; x < box.right(); ++x) grey->at(x, y) *= factor;
}

// The largest error of the brightness, as a share of the true one.
double worst(const Paper& paper) {
  double most = 0;
  for (int y = 0; y < paper.brightness.height; ++y)
    for (int x = 0; x < paper.brightness.width; ++x) {
      const double truth =
          light((x + 0.5) * width / paper.brightness.width, (y + 0.5) * height / paper.brightness.height);
      most = std::max(most, std::abs(paper.brightness.at(x, y) / truth - 1));
    }
  return most;
}

std::uint8_t at(const Plane<std::uint8_t>& mask, int x, int y) {
  return mask.at(x * mask.width / width, y * mask.height / height);
}

TEST(EstimatePaper, BarePaperIsItsOwnBrightness) {
  const Paper paper = estimate_paper(sheet(), {}, {});
  EXPECT_LE(std::max(paper.brightness.width, paper.brightness.height), 600);
  EXPECT_LT(worst(paper), 0.04);
  EXPECT_EQ(std::count(paper.unreliable.values.begin(), paper.unreliable.values.end(), 1), 0);
}

TEST(EstimatePaper, PaperIsSeenThroughLinesAndShadedAreas) {
  Plane<float> grey = sheet();
  darken({100, 60, 5, 300}, 0.5f, &grey);    // a line
  darken({250, 150, 90, 120}, 0.4f, &grey);  // a shaded area
  const Paper paper = estimate_paper(grey, {}, {});
  EXPECT_LT(worst(paper), 0.05);
  EXPECT_TRUE(at(paper.near_ink, 102, 200));
  EXPECT_TRUE(at(paper.near_ink, 290, 200));
  EXPECT_FALSE(at(paper.near_ink, 450, 100));
}

TEST(EstimatePaper, ATableBesideTheSheetIsUnreliable) {
  Plane<float> grey = sheet();
  darken({0, 0, 100, height}, 0.1f, &grey);
  const Paper paper = estimate_paper(grey, {}, {});
  EXPECT_TRUE(at(paper.unreliable, 30, 240));
  EXPECT_TRUE(at(paper.unreliable, 97, 240));
  EXPECT_FALSE(at(paper.unreliable, 300, 240));
}

TEST(EstimatePaper, IsNeverDarkerThanItsFloor) {
  const Paper paper = estimate_paper(Plane<float>(80, 60, 0.f), {}, {});
  for (const float b : paper.brightness.values) EXPECT_FLOAT_EQ(b, paper_floor);
}

}  // namespace
}  // namespace batten
