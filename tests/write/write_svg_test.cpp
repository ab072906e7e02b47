#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "batten/write.h"
#include "support/svg_reader.h"

namespace batten {
namespace {

using namespace batten::testing;

Node corner(double x, double y) { return {{x, y}, {x, y}, {x, y}, false, Reason::corner}; }

Outline box(double left, double top, double right, double bottom, int parent = -1) {
  Outline outline;
  outline.nodes = {corner(left, top), corner(right, top), corner(right, bottom), corner(left, bottom)};
  if (parent >= 0) std::reverse(outline.nodes.begin() + 1, outline.nodes.end());
  outline.parent = parent;
  return outline;
}

Drawing sheet(std::vector<Outline> outlines) {
  Drawing drawing;
  drawing.width_px = 1000, drawing.height_px = 800;
  drawing.outlines = std::move(outlines);
  return drawing;
}

TEST(WriteSvg, AnEmptyDrawingIsAnEmptySheet) {
  const Svg svg = read_svg(to_svg(sheet({})));
  EXPECT_EQ(svg.view_box, "0 0 1000 800");
  EXPECT_EQ(svg.width, "1000");
  EXPECT_EQ(svg.height, "800");
  EXPECT_TRUE(svg.paths.empty());
}

TEST(WriteSvg, SizeIsInMillimetresWhereTheResolutionIsKnown) {
  Drawing drawing = sheet({});
  drawing.dpi = 254;  // ten pixels a millimetre
  const Svg svg = read_svg(to_svg(drawing));
  EXPECT_EQ(svg.width, "100mm");
  EXPECT_EQ(svg.height, "80mm");
  EXPECT_EQ(svg.view_box, "0 0 1000 800") << "a user unit stays a pixel of the scan";
}

TEST(WriteSvg, AxisLinesAreHAndVAndTheLastStraightIsZ) {
  const Svg svg = read_svg(to_svg(sheet({box(10, 20, 110, 70)})));
  ASSERT_EQ(svg.paths.size(), 1u);
  EXPECT_EQ(svg.paths[0].data, "M 10 20 H 110 V 70 H 10 Z");
  EXPECT_EQ(svg.paths[0].contours[0].size(), 4u);
}

TEST(WriteSvg, HAndVOnlyWhereTheFilesOwnNumbersAreEqual) {
  Outline outline = box(10, 20, 110, 70);
  outline.nodes[1].at.y = outline.nodes[1].handle_before.y = outline.nodes[1].handle_after.y = 20.0004;  // rounds to 20
  outline.nodes[2].at.x = outline.nodes[2].handle_before.x = outline.nodes[2].handle_after.x = 110.001;  // does not
  EXPECT_EQ(read_svg(to_svg(sheet({outline}))).paths[0].data, "M 10 20 H 110 L 110.001 70 H 10 Z");
}

TEST(WriteSvg, NoMinusZeroNoTrailingZerosNoExponents) {
  const std::string text = to_svg(sheet({box(-0.0001, -0.0, 0.5, 1234567.125)}));
  EXPECT_EQ(read_svg(text).paths[0].data, "M 0 0 H 0.5 V 1234567.125 H 0 Z");
}

TEST(WriteSvg, NumbersAreWithinAHundredthAndEqualOnesStayEqual) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> place(-50, 3000);
  for (int round = 0; round < 200; ++round) {
    const double x = place(random), y = place(random), shared = place(random);
    Outline outline;
    outline.nodes = {{{x - 3, y}, {x, y}, {x + place(random), y}, true, Reason::extreme_top},
                     {{shared, y + 5.1}, {shared, y + 40.7}, {shared, y + 90.3}, true, Reason::extreme_right}};
    const Svg svg = read_svg(to_svg(sheet({outline})));
    ASSERT_EQ(svg.paths[0].commands, "MCCZ");
    for (std::size_t i = 0; i < 2; ++i) {
      const Cubic written = svg.paths[0].contours[0][i], meant = outline.segment(i);
      for (std::size_t k = 0; k < 4; ++k) {
        EXPECT_NEAR(written[k].x, meant[k].x, 0.01);
        EXPECT_NEAR(written[k].y, meant[k].y, 0.01);
      }
    }
    const auto& c = svg.paths[0].contours[0];
    EXPECT_EQ(c[0][0].y, c[0][1].y) << "a level handle";
    EXPECT_EQ(c[0][2].x, c[0][3].x) << "a vertical handle";
    EXPECT_EQ(c[1][0].x, c[1][1].x) << "a vertical handle";
  }
}

TEST(WriteSvg, CountersGoWithTheirShapeAndIslandsAreShapes) {
  // Given in an order that is not the order of nesting: island, counter, outer.
  Outline island = box(40, 40, 60, 60), counter = box(20, 20, 80, 80), outer = box(0, 0, 100, 100);
  island.parent = 1, counter.parent = 2;
  const Svg svg = read_svg(to_svg(sheet({island, counter, outer})));
  ASSERT_EQ(svg.paths.size(), 2u);
  EXPECT_EQ(svg.paths[0].contours.size(), 2u);
  EXPECT_EQ(svg.paths[0].contours[0][0][0].x, 0) << "the outer outline comes first";
  EXPECT_EQ(svg.paths[0].contours[1][0][0].x, 20);
  EXPECT_EQ(svg.paths[1].contours.size(), 1u);
  EXPECT_EQ(svg.paths[1].contours[0][0][0].x, 40);
  EXPECT_EQ(svg.paths[0].id, "shape-1");
  EXPECT_EQ(svg.paths[1].id, "shape-2");
}

TEST(WriteSvg, NonsenseDoesNotHangOrLeakIntoTheFile) {
  Outline a = box(0, 0, 10, 10), b = box(20, 0, 30, 10), c = box(40, 0, 50, 10);
  a.parent = 1, b.parent = 0, c.parent = 99;  // a ring of parents, a parent that is not there
  Outline bad = box(0, 0, 10, 10);
  bad.nodes[2].at.x = std::nan("");
  const Svg svg = read_svg(to_svg(sheet({a, b, c, bad, {}})));
  EXPECT_EQ(svg.paths.size(), 3u);
}

TEST(WriteSvg, OpenLinesAreStroked) {
  Outline line = box(0, 0, 10, 10);
  line.closed = false, line.kind = Kind::line, line.band_px = 4;
  const std::string alone = to_svg(sheet({line}));
  EXPECT_NE(alone.find("  <g id=\"lines\" fill=\"none\" stroke=\"black\" stroke-linecap=\"round\" "
                       "stroke-linejoin=\"round\">\n    <path id=\"line-1\" stroke-width=\"4\" d=\"M 0 0 H 10 V 10 H "
                       "0\"/>\n  </g>\n"),
            std::string::npos)
      << alone;
  EXPECT_EQ(alone.find("areas"), std::string::npos);
}

// Areas lie under lines, whatever stands first on the sheet, and are numbered by themselves.
TEST(WriteSvg, AreasComeBeforeLinesInGroupsOfTheirOwn) {
  Outline line = box(0, 0, 10, 10);
  line.closed = false, line.kind = Kind::line;
  const std::string text = to_svg(sheet({line, box(50, 50, 60, 60), box(70, 50, 80, 60)}));
  const std::size_t areas = text.find("<g id=\"areas\">"), second = text.find("id=\"shape-2\""),
                    lines = text.find("<g id=\"lines\""), first_line = text.find("id=\"line-1\"");
  EXPECT_LT(areas, second);
  EXPECT_LT(second, lines);
  EXPECT_LT(lines, first_line);
  EXPECT_NE(first_line, std::string::npos);
  EXPECT_EQ(to_svg(sheet({box(0, 0, 10, 10)})).find("<g"), std::string::npos) << "no groups where there are no lines";
}

}  // namespace
}  // namespace batten
