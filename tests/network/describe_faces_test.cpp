#include "network/describe_faces.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "base/vec.h"
#include "support/random.h"

namespace batten {
namespace {

Loop square(double left, double top, double side) {
  Loop loop;
  for (int k = 0; k < 4 * int(side); ++k) {
    const double u = k % int(side);
    const int edge = k / int(side);
    loop.points.push_back(edge == 0   ? Point{left + u, top}
                          : edge == 1 ? Point{left + side, top + u}
                          : edge == 2 ? Point{left + side - u, top + side}
                                      : Point{left, top + side - u});
  }
  loop.band_px = 6;
  return loop;
}

constexpr int size_px = 200;

// A square of 140 px with a line of full darkness round it, and inside what `level_at` says.
struct Sheet {
  Plane<std::uint8_t> drawn{size_px, size_px, 0};
  Scan scan;
  Loops loops;

  explicit Sheet(const std::function<double(int, int)>& level_at) {
    for (int y = 33; y < 167; ++y)
      for (int x = 33; x < 167; ++x) drawn.at(x, y) = std::uint8_t(std::lround(200 * level_at(x, y)));
    for (int k = 27; k < 173; ++k)
      for (int w = -3; w < 3; ++w)
        drawn.at(k, 30 + w) = drawn.at(k, 170 + w) = drawn.at(30 + w, k) = drawn.at(170 + w, k) = 200;
    scan.grey = Plane<float>(size_px, size_px, 0.9f);
    loops.loops = {square(30, 30, 140)};
  }
  Face face(std::size_t loop = 0, Options::DrawingKind asked = Options::DrawingKind::automatic) {
    describe_faces(drawn, scan, asked, {}, &loops);
    return loops.loops[loop].face;
  }
};

double stripes(double x, double y, double angle_deg, double apart_px) {
  const double across = x * std::sin(radians(angle_deg)) + y * std::cos(radians(angle_deg));  // y runs down
  return std::fmod(across + 10000, apart_px) < 0.4 * apart_px ? 0.6 : 0;
}

TEST(DescribeFaces, PaperSolidAndShading) {
  EXPECT_EQ(Sheet([](int, int) { return 0.02; }).face().inside, Inside::paper);
  EXPECT_EQ(Sheet([](int, int) { return 0.8; }).face().inside, Inside::solid);
  support::Random r("DescribeFaces", "grain");
  const Face shaded = Sheet([&](int, int) { return r.uniform(0, 1); }).face();
  EXPECT_EQ(shaded.inside, Inside::shaded);
  EXPECT_GT(shaded.ink_share, 0.9);
}

TEST(DescribeFaces, HatchingHasADirection) {
  for (const double angle_deg : {0., 30., 45., 90., 135.}) {
    const Face face = Sheet([&](int x, int y) { return stripes(x, y, angle_deg, 12); }).face();
    EXPECT_EQ(face.inside, Inside::hatched) << angle_deg;
    EXPECT_NEAR(face.ink_share, 0.45, 0.12);
    const int said = std::stoi(face.why.substr(face.why.find("strokes at ") + 11));
    EXPECT_LT(std::min(std::abs(said - angle_deg), 180 - std::abs(said - angle_deg)), 2) << face.why;
  }
  const Face crossed =
      Sheet([](int x, int y) { return std::max(stripes(x, y, 20, 16), stripes(x, y, 110, 16)); }).face();
  EXPECT_EQ(crossed.inside, Inside::hatched);
  EXPECT_NE(crossed.why.find("cross"), std::string::npos) << crossed.why;
}

TEST(DescribeFaces, WhatStandsInAShapeIsItsOwn) {
  Sheet sheet([](int x, int y) { return x > 60 && x < 140 && y > 60 && y < 140 ? 0.8 : 0; });
  sheet.loops.loops.push_back(square(60, 60, 80));
  sheet.loops.loops[1].kind = Kind::filled;
  EXPECT_EQ(sheet.face(0).inside, Inside::paper);
  EXPECT_EQ(sheet.face(1).inside, Inside::solid);
}

TEST(DescribeFaces, ColourIsTintBeyondThePapers) {
  for (const float tint : {0.02f, 0.2f}) {
    Sheet sheet([](int, int) { return 0; });
    sheet.scan.brightest = Plane<float>(size_px, size_px, 0.92f);
    for (int y = 40; y < 160; ++y)
      for (int x = 40; x < 160; ++x) sheet.scan.brightest.at(x, y) = 0.9f + tint;
    EXPECT_EQ(sheet.face().inside, tint > 0.1f ? Inside::coloured : Inside::paper);
  }
}

TEST(DescribeFaces, TooSmallOrOpenIsUnknown) {
  Sheet sheet([](int, int) { return 0.8; });
  sheet.loops.loops.push_back(square(60, 60, 8));
  Loop line = square(100, 100, 30);
  line.open = true, line.kind = Kind::line;
  sheet.loops.loops.push_back(line);
  for (const std::size_t k : {1, 2}) {
    const Face face = sheet.face(k);
    EXPECT_EQ(face.inside, Inside::unknown);
    EXPECT_EQ(face.ink_share, 0);
    EXPECT_FALSE(face.why.empty());
  }
}

TEST(DescribeFaces, WhatWasAskedForIsTheReasonOfAKind) {
  Sheet sheet([](int, int) { return 0.8; });
  EXPECT_EQ(sheet.face().why.find("A line runs round it"), 0u);
  EXPECT_EQ(sheet.face(0, Options::DrawingKind::outlined).why.find("It was asked for as outlined."), 0u);
  sheet.loops.loops[0].kind = Kind::line;
  EXPECT_EQ(sheet.face().why.find("It belongs to a network"), 0u);
  EXPECT_EQ(sheet.face(0, Options::DrawingKind::lines).why.find("It was asked for as lines."), 0u);
}

TEST(DescribeFaces, AnAreaIsThatOfItsParts) {
  Sheet sheet([](int, int) { return 0.8; });
  Loop whole = sheet.loops.loops[0], half = whole;
  const auto middle = whole.points.begin() + 280;
  half.points.assign(whole.points.begin(), middle), half.open = true, half.kind = Kind::line;
  Loop back = half;
  back.points.assign(middle, whole.points.end());
  std::reverse(back.points.begin(), back.points.end());
  sheet.loops.loops = {half, back};
  sheet.loops.areas = {{{{0, false}, {1, true}}, Kind::line}};
  sheet.face();
  EXPECT_EQ(sheet.loops.areas[0].face.inside, Inside::solid);
}

}  // namespace
}  // namespace batten
