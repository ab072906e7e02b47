// SVG in: path grammar, shapes, transforms, view boxes. Positions are computed by hand or come from formulas.

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "batten/files.h"
#include "batten/measure.h"
#include "batten/write.h"
#include "path_grammar.h"
#include "support/scratch.h"
#include "svg_values.h"

namespace batten {
namespace {

using namespace batten::testing;

Result<SvgDrawing> read(const std::string& body, const std::string& root = "viewBox=\"0 0 100 100\"") {
  const Scratch scratch;
  return read_outlines(scratch.put("a.svg",
                                   "<svg xmlns=\"http://www.w3.org/2000/svg\" "
                                   "xmlns:xlink=\"http://www.w3.org/1999/xlink\" " +
                                       root + ">" + body + "</svg>"));
}

std::vector<Outline> path(const std::string& data) {
  bool sound = false;
  std::vector<Outline> outlines = read_path(data, &sound);
  EXPECT_TRUE(sound) << data;
  return outlines;
}

void expect_at(Point p, double x, double y, const std::string& what = "") {
  EXPECT_NEAR(p.x, x, 1e-9) << what;
  EXPECT_NEAR(p.y, y, 1e-9) << what;
}

TEST(ReadSvg, GroupsMayLieDeepInOneAnother) {
  const auto nested = [](int depth) {
    std::string body = "<path d='M1 1h9v9z'/>";
    for (int i = 0; i < depth; ++i) body = "<g>" + body + "</g>";
    return body;
  };
  const auto deep = read(nested(900));
  ASSERT_TRUE(deep) << deep.error().message;
  EXPECT_TRUE(deep->sound);
  const auto deeper = read(nested(20000));
  ASSERT_FALSE(deeper);
  EXPECT_NE(deeper.error().message.find("nested over 1000 deep"), std::string::npos) << deeper.error().message;
}

// Ten uses of ten uses of ... a path of 10,000 nodes: some kilobytes that would be ten billion nodes.
TEST(ReadSvg, UsesOfUsesDoNotTakeAllMemory) {
  std::string body = "<path id='l0' d='M1 1";
  for (int i = 0; i < 10000; ++i) body += "h1v1";
  body += "z'/>";
  for (int level = 1; level <= 6; ++level) {
    body += "<g id='l" + std::to_string(level) + "'>";
    for (int i = 0; i < 10; ++i) body += "<use href='#l" + std::to_string(level - 1) + "'/>";
    body += "</g>";
  }
  const auto drawing = read(body);
  ASSERT_TRUE(drawing) << drawing.error().message;
  EXPECT_FALSE(drawing->sound) << "what was left out is told";
  std::size_t nodes = 0;
  for (const Outline& o : drawing->drawing.outlines) nodes += o.nodes.size();
  EXPECT_GT(nodes, 5000000u);
  EXPECT_LT(nodes, 5100000u);
}

TEST(ReadSvg, WhatOverflowsIsLeftOut) {
  const auto some = read(
      "<path d='M1 1h9v9z'/><path transform='scale(1e300) scale(1e300)' d='M1 1h9v9z'/>"
      "<path transform='scale(-1e308)' d='M1 1h9v9z'/><path d='M1 1h1e300v9z'/>");
  ASSERT_TRUE(some) << some.error().message;
  EXPECT_EQ(some->drawing.outlines.size(), 1u);
  EXPECT_FALSE(some->sound);
  for (const char* root : {"viewBox='0 0 1e-300 1e-300'", "width='0' height='1'", "width='1e308px' height='1e308px'",
                           "viewBox='1e308 0 1 1'"}) {
    auto placed = read("<path d='M1 1h9v9z'/>", root);
    ASSERT_TRUE(placed) << root << placed.error().message;
    place_on_scan(*placed, 400, 300, 300);
    for (const Node& n : placed->drawing.outlines.at(0).nodes)
      EXPECT_TRUE(std::isfinite(n.at.x) && std::isfinite(n.at.y)) << root;
  }
}

TEST(PathGrammar, LinesRelativeAbsoluteAndRepeated) {
  for (const char* data :
       {"M10 20L40 20 40 60 10 60Z", "m10,20 30,0 0,40 -30,0z", "M10 20H40V60H10Z", "m10 20h30v40h-30z",
        "M10 20 40 20 40 60 10 60 10 20", "M 1e1,+2e+1 L40 20L40 60L10 60L10 20Z"}) {
    const auto outlines = path(data);
    ASSERT_EQ(outlines.size(), 1u) << data;
    EXPECT_TRUE(outlines[0].closed) << data;
    ASSERT_EQ(outlines[0].nodes.size(), 4u) << data;
    EXPECT_NEAR(signed_area_px2(outlines[0]), 1200, 1e-9) << data;
    for (std::size_t i = 0; i < 4; ++i) EXPECT_TRUE(outlines[0].is_straight(i)) << data;
  }
}

TEST(PathGrammar, NumbersMayTouch) {
  const auto outlines = path("M0.5.5-1-2.5.25-1e-1Z");
  ASSERT_EQ(outlines.size(), 1u);
  ASSERT_EQ(outlines[0].nodes.size(), 3u);
  expect_at(outlines[0].nodes[1].at, -1, -2.5);
  expect_at(outlines[0].nodes[2].at, 0.25, -0.1);
}

TEST(PathGrammar, SmoothCubicsReflectTheHandleBefore) {
  const auto outlines = path("M0 0C0 10 10 20 20 20S40 10 40 0s-10-5-20-5Z");
  ASSERT_EQ(outlines[0].nodes.size(), 4u);
  expect_at(outlines[0].nodes[1].handle_after, 30, 20);
  expect_at(outlines[0].nodes[2].handle_after, 40, -10);
  expect_at(path("M0 0S10 10 20 0Z")[0].nodes[0].handle_after, 0, 0, "nothing to reflect");
}

TEST(PathGrammar, QuadraticsAreTheSameCurveAsCubics) {
  // Degree elevation: B(1/2) of the quadratic (0,0) (30,60) (60,0) is (30,30).
  for (const char* data : {"M0 0Q30 60 60 0Z", "m0 0q30 60 60 0z"}) {
    const Cubic c = path(data)[0].segment(0);
    expect_at(0.125 * (c[0] + c[3]) + 0.375 * (c[1] + c[2]), 30, 30, data);
  }
  const auto smooth = path("M0 0Q30 60 60 0T120 0t60 0");
  ASSERT_EQ(smooth[0].nodes.size(), 4u);
  expect_at(smooth[0].nodes[1].handle_after, 60 + 2. / 3 * 30, -2. / 3 * 60);
  expect_at(smooth[0].nodes[2].handle_after, 120 + 2. / 3 * 30, 2. / 3 * 60);
}

// Every point of an arc lies on its ellipse; the four flags choose among the four arcs (SVG 1.1, 8.3.8).
TEST(PathGrammar, ArcsLieOnTheirEllipse) {
  for (const char* flags : {"0 0", "0 1", "1 0", "1 1", "11", "0,1"}) {
    const Outline arc = path(std::string("M100 100A50 30 30 ") + flags + " 140 120")[0];
    EXPECT_FALSE(arc.closed);
    const double turn = std::numbers::pi / 6;
    const auto circle = [&](Point p) {  // the ellipse's own frame, where it is a circle of radius 1
      return Point{(std::cos(turn) * p.x + std::sin(turn) * p.y) / 50,
                   (std::cos(turn) * p.y - std::sin(turn) * p.x) / 30};
    };
    const Point a = circle({100, 100}), b = circle({140, 120}), middle = 0.5 * (a + b), half = 0.5 * (b - a);
    const double size = std::hypot(half.x, half.y), off = std::sqrt(1 - size * size) / size;
    const bool large = flags[0] == '1', sweep = flags[std::string(flags).size() - 1] == '1';
    const double side = large == sweep ? -1 : 1;
    const Point centre = middle + side * off * Point{-half.y, half.x};
    double worst = 0;
    for (std::size_t i = 0; i + 1 < arc.nodes.size(); ++i)
      for (double t = 0; t <= 1; t += 0.125) {
        const Cubic c = arc.segment(i);
        const double s = 1 - t;
        const Point p =
            circle(s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3]) - centre;
        worst = std::max(worst, std::abs(std::hypot(p.x, p.y) - 1));
      }
    EXPECT_LT(worst, 3e-4) << flags << ": a quarter turn by one cubic is 0.027 % off";
    const double expected_pieces = large ? 3 : 1;
    EXPECT_GE(double(arc.nodes.size()) - 1, expected_pieces) << flags;
  }
  EXPECT_TRUE(path("M0 0A0 5 0 0 1 10 0Z")[0].is_straight(0)) << "no radius: a line";
  const Outline grown = path("M0 0A1 1 0 0 1 10 0Z")[0];  // too small radii grow: a half circle of radius 5
  EXPECT_NEAR(std::abs(signed_area_px2(grown)), std::numbers::pi * 12.5, 0.02);
}

TEST(PathGrammar, SeveralSubpathsAndMovesAfterClosing) {
  const auto outlines = path("M0 0H10V10H0Zm20 20h5v5h-5zl2 0 0 2z");
  ASSERT_EQ(outlines.size(), 3u);
  expect_at(outlines[1].nodes[0].at, 20, 20);
  expect_at(outlines[2].nodes[0].at, 20, 20, "after Z the current point is the start");
}

TEST(PathGrammar, StopsAtAnErrorAndSaysSo) {
  bool sound = true;
  EXPECT_EQ(read_path("M0 0H10V10Z M20 20 L30 30 x", &sound).size(), 2u);
  EXPECT_FALSE(sound);
  for (const char* data : {"L10 10", "M0 0 L10", "M0 0 A1 1 0 2 0 5 5", "Q", "M0 0 10 nan", "12"}) {
    read_path(data, &sound);
    EXPECT_FALSE(sound) << data;
  }
}

TEST(PathGrammar, PointsOnTopOfEachOtherMakeNoSegments) {
  EXPECT_EQ(path("M0 0L10 0L10 0L10 10L0 10L0 0Z")[0].nodes.size(), 4u);
  EXPECT_TRUE(path("M5 5Z").empty());
}

TEST(SvgValues, TransformsApplyRightToLeft) {
  const auto t = read_transform("translate(10,20) scale(2) rotate(90)");
  ASSERT_TRUE(t);
  expect_at((*t)({1, 0}), 10, 22);
  expect_at((*read_transform("rotate(90 10 10)"))({20, 10}), 10, 20);
  expect_at((*read_transform("matrix(1 2 3 4 5 6)"))({1, 1}), 9, 12);
  expect_at((*read_transform("skewX(45)"))({0, 10}), 10, 10);
  expect_at((*read_transform("skewY(45)"))({10, 0}), 10, 10);
  expect_at((*read_transform("scale(2 3)"))({1, 1}), 2, 3);
  for (const char* bad : {"turn(3)", "scale(", "scale(1 2 3)", "rotate(1 2)"}) EXPECT_FALSE(read_transform(bad)) << bad;
}

TEST(SvgValues, LengthsOfCss) {
  EXPECT_NEAR(read_length("25.4mm", 0)->units, 96, 1e-9);
  EXPECT_NEAR(read_length("1in", 0)->units, 96, 1e-9);
  EXPECT_NEAR(read_length("72pt", 0)->units, 96, 1e-9);
  EXPECT_NEAR(read_length("6pc", 0)->units, 96, 1e-9);
  EXPECT_NEAR(read_length("2.54cm", 0)->units, 96, 1e-9);
  EXPECT_NEAR(read_length("50%", 30)->units, 15, 1e-9);
  EXPECT_TRUE(read_length("3mm", 0)->physical);
  EXPECT_FALSE(read_length("3px", 0)->physical);
  EXPECT_FALSE(read_length("wide", 0));
}

TEST(ReadSvg, BasicShapesHaveTheAreaTheyShould) {
  const struct {
    const char* element;
    double area, slack;
  } cases[] = {{"<rect x='10' y='10' width='30' height='20'/>", 600, 1e-9},
               {"<rect x='10' y='10' width='30' height='20' rx='5'/>", 600 - (4 - std::numbers::pi) * 25, 0.05},
               {"<circle cx='50' cy='50' r='20'/>", std::numbers::pi * 400, 0.4},
               {"<ellipse cx='50' cy='50' rx='20' ry='10'/>", std::numbers::pi * 200, 0.2},
               {"<polygon points='0,0 10,0 10,10'/>", 50, 1e-9},
               {"<polyline points='0,0 10,0 10,10'/>", 50, 1e-9},
               {"<path d='M0 0H10V10'/>", 50, 1e-9}};
  for (const auto& c : cases) {
    const auto svg = read(c.element);
    ASSERT_TRUE(svg.ok()) << c.element;
    ASSERT_EQ(svg->drawing.outlines.size(), 1u) << c.element;
    EXPECT_NEAR(std::abs(signed_area_px2(svg->drawing.outlines[0])), c.area, c.slack) << c.element;
  }
}

TEST(ReadSvg, GroupsUsesAndNestedViewsAreWhereTheyShouldBe) {
  const auto svg = read(
      "<defs><path id='p' d='M0 0H10V10H0Z'/></defs>"
      "<g transform='translate(10 0)'><g transform='scale(2)'><use xlink:href='#p' x='5'/></g></g>"
      "<svg x='50' y='50' width='40' height='40' viewBox='0 0 10 10'><rect width='10' height='10'/></svg>");
  ASSERT_TRUE(svg.ok()) << svg.error().message;
  ASSERT_EQ(svg->drawing.outlines.size(), 2u) << "what stands in defs alone is not drawn";
  expect_at(svg->drawing.outlines[0].nodes[0].at, 20, 0);
  EXPECT_NEAR(std::abs(signed_area_px2(svg->drawing.outlines[0])), 400, 1e-9);
  expect_at(svg->drawing.outlines[1].nodes[0].at, 50, 50);
  EXPECT_NEAR(std::abs(signed_area_px2(svg->drawing.outlines[1])), 1600, 1e-9);
  EXPECT_TRUE(svg->sound);
}

TEST(ReadSvg, LeavesOutWhatIsNotSeenAndReadsOpenPathsWithoutFillAsLines) {
  const auto svg = read(
      "<rect width='5' height='5'/><rect width='5' height='5' display='none'/><rect width='5' height='5' "
      "style='fill:red; display: none'/><path fill='none' d='M0 0L5 5L9 0'/><path style='stroke-width:2; fill : none' "
      "fill='red' d='M0 0L5 5L9 0'/><line x1='0' y1='0' x2='4' y2='4'/><g fill='none'><path d='M0 0C1 1 2 1 3 0'/>"
      "<path fill='black' d='M0 0L5 5L9 0'/></g><path d='M0 0L5 5'/>");
  ASSERT_TRUE(svg.ok());
  const std::vector<Outline>& outlines = svg->drawing.outlines;
  ASSERT_EQ(outlines.size(), 6u);
  EXPECT_TRUE(outlines[0].closed);
  for (const std::size_t i : {1u, 2u, 3u, 4u}) {
    EXPECT_FALSE(outlines[i].closed) << i;
    EXPECT_EQ(outlines[i].kind, Kind::line) << i;
  }
  EXPECT_EQ(outlines[3].nodes.back().at, (Point{4, 4}));
  EXPECT_EQ(outlines[4].segment_count(), 1u);
  EXPECT_TRUE(outlines[5].closed) << "a fill closes its paths, whatever the group says";
  EXPECT_EQ(svg->open_paths, 1u) << "a fill of two points encloses nothing";
}

TEST(ReadSvg, UsesThatCallThemselvesEnd) {
  const auto svg = read("<rect width='5' height='5'/><g id='a'><use href='#a'/></g>");
  ASSERT_TRUE(svg.ok());
  EXPECT_FALSE(svg->sound);
}

TEST(ReadSvg, ThePageIsLaidOnTheScan) {
  const std::string square = "<rect x='10' y='10' width='10' height='10'/>";
  auto whole = read(square);  // 100 x 100 units on 200 x 200 px
  EXPECT_NE(place_on_scan(*whole, 200, 200, 0).find("whole scan"), std::string::npos);
  expect_at(whole->drawing.outlines[0].nodes[0].at, 20, 20);
  auto by_size = read(square, "width='25.4mm' height='25.4mm' viewBox='0 0 100 100'");
  EXPECT_NE(place_on_scan(*by_size, 600, 300, 200).find("mm"), std::string::npos);  // 200 px to the inch
  expect_at(by_size->drawing.outlines[0].nodes[0].at, 20, 20);
  auto units = read(square);
  EXPECT_NE(place_on_scan(*units, 600, 300, 200).find("unit"), std::string::npos);
  expect_at(units->drawing.outlines[0].nodes[0].at, 10, 10);
  auto moved = read(square, "viewBox='10 0 100 100'");
  expect_at(moved->drawing.outlines[0].nodes[0].at, 0, 10);
}

TEST(ReadSvg, WhatToSvgWritesComesBackAsItWas) {
  Drawing drawing;
  drawing.width_px = 80, drawing.height_px = 60;
  Outline o;
  o.nodes = {{{10, 40}, {10, 30}, {10, 20}, true, Reason::extreme_left},
             {{20, 10}, {30, 10}, {40, 10}},
             {{60, 30}, {60, 30}, {60, 30}}};
  drawing.outlines = {o};
  const Scratch scratch;
  const auto svg = read_outlines(scratch.put("a.svg", to_svg(drawing)));
  ASSERT_TRUE(svg.ok());
  EXPECT_EQ(svg->drawing.width_px, 80);
  ASSERT_EQ(svg->drawing.outlines.size(), 1u);
  ASSERT_EQ(svg->drawing.outlines[0].nodes.size(), 3u);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(svg->drawing.outlines[0].nodes[i].at, o.nodes[i].at);
    EXPECT_EQ(svg->drawing.outlines[0].nodes[i].handle_before, o.nodes[i].handle_before);
    EXPECT_EQ(svg->drawing.outlines[0].nodes[i].handle_after, o.nodes[i].handle_after);
  }
}

TEST(ReadSvg, SaysWhatIsWrong) {
  const Scratch scratch;
  EXPECT_EQ(read_outlines(scratch / "none.svg").error().code, ErrorCode::file_not_found);
  for (const char* bytes : {"", "no xml", "<svg", "<html/>", "<svg xmlns='http://www.w3.org/2000/svg'/>"}) {
    const auto svg = read_outlines(scratch.put("a.svg", bytes));
    ASSERT_FALSE(svg.ok()) << bytes;
    EXPECT_EQ(svg.error().code, ErrorCode::not_a_drawing) << bytes;
    EXPECT_EQ(svg.error().message.find('\n'), std::string::npos);
  }
}

}  // namespace
}  // namespace batten
