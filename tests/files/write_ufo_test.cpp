// UFO 3: read back by fontTools' ufoLib, which validates every file against the specification.

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "batten/files.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
using Json = nlohmann::json;

Node corner(double x, double y) { return {{x, y}, {x, y}, {x, y}, false, Reason::corner}; }

Outline box(double left, double top, double right, double bottom) {
  Outline outline;  // clockwise on screen
  outline.nodes = {corner(left, top), corner(right, top), corner(right, bottom), corner(left, bottom)};
  return outline;
}

Outline turned(Outline outline) {
  std::reverse(outline.nodes.begin(), outline.nodes.end());
  for (Node& node : outline.nodes) std::swap(node.handle_before, node.handle_after);
  return outline;
}

// Four quarters of a circle; handles of 0.5523 r (4/3 (sqrt(2) - 1)).
Outline circle(double x, double y, double r) {
  const double h = 0.5522847498307936 * r;
  Outline outline;
  outline.nodes = {{{x - h, y - r}, {x, y - r}, {x + h, y - r}, true, Reason::extreme_top},
                   {{x + r, y - h}, {x + r, y}, {x + r, y + h}, true, Reason::extreme_right},
                   {{x + h, y + r}, {x, y + r}, {x - h, y + r}, true, Reason::extreme_bottom},
                   {{x - r, y + h}, {x - r, y}, {x - r, y - h}, true, Reason::extreme_left}};
  return outline;
}

Drawing sheet(std::vector<Outline> outlines) {
  Drawing drawing;
  drawing.width_px = 1000, drawing.height_px = 1000;
  drawing.outlines = std::move(outlines);
  return drawing;
}

class WriteUfo : public ::testing::Test {
 protected:
  // What ufoLib reads of a drawing written as a font.
  Json written(const Drawing& drawing, const GlyphOptions& glyphs, const UfoOptions& options = {}) {
    const Result<GlyphSheet> arranged = arrange_glyphs(drawing, glyphs);
    EXPECT_TRUE(arranged.ok()) << arranged.error().message;
    if (!arranged.ok()) return {};
    const auto failed = write_folder(scratch_ / "font.ufo", to_ufo(drawing, *arranged, options));
    EXPECT_FALSE(failed.has_value()) << failed->message;
    const Ran ran = run(BATTEN_PYTHON, {BATTEN_OUTSIDE_DIR "/ufo_says.py", scratch_ / "font.ufo"});
    EXPECT_EQ(ran.status, 0) << "apt-get install python3-fonttools python3-ufolib2: " << ran.err;
    return ran.status == 0 ? Json::parse(ran.out) : Json();
  }
  Scratch scratch_;
};

TEST_F(WriteUfo, ALetterStandsOnItsBaselineAtTheScaleAsked) {
  // An O of 700 px on y = 300 + 400: with an em of 1000 px and 2000 units, one px is two units.
  const Json font = written(sheet({circle(450, 350, 350), turned(circle(450, 350, 200))}),
                            {.names = {"O"}, .units_per_em = 2000, .em_px = 1000, .baselines_px = {700}},
                            {.family_name = "Büro & <Söhne>"});
  EXPECT_EQ(font["formatVersion"], 3);
  EXPECT_EQ(font["family"], "Büro & <Söhne>");
  EXPECT_EQ(font["unitsPerEm"], 2000);
  EXPECT_EQ(font["ascender"], 1400);
  EXPECT_EQ(font["layers"], Json::array({"public.default"}));
  const Json& glyph = font["glyphs"]["O"];
  EXPECT_EQ(glyph["unicodes"], Json::array({0x4F}));
  EXPECT_EQ(glyph["bounds"], Json::array({120, 0, 1520, 1400})) << "side bearing of 0.06 em; y runs up";
  EXPECT_EQ(glyph["width"], 1640);
}

TEST_F(WriteUfo, OuterContoursRunCounterClockwiseWhateverTheDrawingDoes) {
  Outline outer = box(100, 100, 300, 300), counter = box(150, 150, 250, 250), island = box(180, 180, 220, 220);
  counter.parent = 0, island.parent = 1;
  for (const bool turn : {false, true}) {
    std::vector<Outline> outlines = {outer, counter, island};
    if (turn)
      for (Outline& outline : outlines) outline = turned(outline);
    const Json areas = written(sheet(outlines), {.em_px = 1000})["glyphs"]["shape-1"]["areas"];
    ASSERT_EQ(areas.size(), 3u);
    EXPECT_DOUBLE_EQ(areas[0], 200 * 200);
    EXPECT_DOUBLE_EQ(areas[1], -100 * 100);
    EXPECT_DOUBLE_EQ(areas[2], 40 * 40);
  }
}

TEST_F(WriteUfo, PointTypesAreThoseOfTheSpecification) {
  // A shape like a D: a straight stem, two straights that run smoothly into a curve.
  Outline d;
  d.nodes = {corner(100, 100),
             {{150, 100}, {150, 100}, {210, 100}, true, Reason::straight_end},
             {{250, 160}, {250, 200}, {250, 240}, true, Reason::extreme_right},
             {{210, 300}, {150, 300}, {150, 300}, true, Reason::straight_end},
             corner(100, 300)};
  const Json points = written(sheet({d}), {.em_px = 1000, .side_bearing_em = 0})["glyphs"]["shape-1"]["points"][0];
  const Json expected = {{0, 200, "line", false},    {0, 0, "line", false},      {50, 0, "line", true},
                         {110, 0, nullptr, false},   {150, 60, nullptr, false},  {150, 100, "curve", true},
                         {150, 140, nullptr, false}, {110, 200, nullptr, false}, {50, 200, "curve", true}};
  EXPECT_EQ(points, expected);
}

TEST_F(WriteUfo, SharedCoordinatesStaySharedAndWholeUnitsAreWhole) {
  Drawing drawing = sheet({circle(100.123, 100.777, 61.3), box(200.31, 39.477, 251.7, 162.077)});
  for (const bool whole : {false, true}) {
    const Json font = written(drawing, {.em_px = 173.7}, {.whole_units = whole});
    const Json &round = font["glyphs"]["shape-1"]["points"][0], &square = font["glyphs"]["shape-2"]["points"][0];
    double top = -1e9;
    for (const Json& point : round) top = std::max(top, point[1].get<double>());
    EXPECT_EQ(std::count_if(round.begin(), round.end(), [&](const Json& p) { return p[1] == top; }), 3)
        << "the node at the top and its two handles are exactly level";
    EXPECT_EQ(square[0][1], top) << "tops that are level on the sheet are level in the font";
    for (const Json& point : round)
      for (int axis : {0, 1})
        EXPECT_TRUE(!whole || point[axis].get<double>() == std::round(point[axis].get<double>())) << point;
  }
}

TEST_F(WriteUfo, FileNamesFollowTheCommonAlgorithm) {
  std::vector<Outline> boxes;
  GlyphOptions options;
  options.names = {"a",       "A",   "aE",      "AE",  "T_H",     "F_F_I", ".notdef",
                   "con",     "CON", "con.alt", "nul", "a.b.aux", "x:y",   "Aacute_V.swash",
                   "alt.con", "Ä",   "LPT1.x",  "a*b", "a?b",     "a+b"};
  for (std::size_t i = 0; i < options.names.size(); ++i) {
    const double left = 40.0 * static_cast<double>(i);
    boxes.push_back(box(left, 100, left + 20, 150));
  }
  const Json font = written(sheet(boxes), options);
  ASSERT_EQ(font["glyphs"].size(), options.names.size());
  for (const auto& [name, glyph] : font["glyphs"].items()) EXPECT_EQ(glyph["file"], glyph["file_expected"]) << name;
}

TEST_F(WriteUfo, OpenLinesAreLeftOut) {
  Outline line = box(300, 100, 400, 200);
  line.closed = false, line.kind = Kind::line;
  const Json glyphs = written(sheet({box(100, 100, 200, 200), line}), {.em_px = 1000})["glyphs"];
  EXPECT_EQ(glyphs.size(), 1u);
  EXPECT_EQ(glyphs["shape-1"]["points"].size(), 1u);
  EXPECT_FALSE(arrange_glyphs(sheet({line}), {.em_px = 1000}).ok());
}

TEST_F(WriteUfo, HeightsAndTheWordSpaceAreThoseOfTheLetters) {
  // H, a round O with overshoot, x, a round o, i with its dot; feet on y = 800, one px is one unit.
  const Drawing letters = sheet({box(0, 100, 400, 800), circle(700, 450, 358), box(1100, 312, 1450, 800),
                                 circle(1750, 556, 250), box(2100, 310, 2180, 800), box(2100, 180, 2180, 250)});
  const GlyphOptions options{.names = {"H", "O", "x", "o", "i"}, .em_px = 1000, .baselines_px = {800}};
  Drawing tall = letters;
  tall.width_px = 3000;
  const Json font = written(tall, options);
  EXPECT_EQ(font["capHeight"], 700) << "that of H, not of O";
  EXPECT_EQ(font["xHeight"], 488) << "that of x";
  ASSERT_TRUE(font["glyphs"].contains("space"));
  EXPECT_EQ(font["glyphs"]["space"]["unicodes"], Json::array({0x20}));
  EXPECT_EQ(font["glyphs"]["space"]["width"], 80 + 2 * 60) << "as wide as the i with its room";
  EXPECT_TRUE(font["glyphs"]["space"]["points"].empty());
  EXPECT_EQ(font["glyphs"].size(), 6u);
  const auto arranged = arrange_glyphs(tall, options);
  ASSERT_TRUE(arranged.ok());
  EXPECT_EQ(arranged->glyphs.size(), 5u) << "the space is no letter of the sheet";
  EXPECT_NEAR(arranged->x_height_px, 488, 1e-9);
}

TEST_F(WriteUfo, LettersThatDoNotTellLeaveTheHeightsOut) {
  const Json font = written(sheet({box(100, 100, 300, 300), circle(500, 200, 100)}), {.em_px = 1000});
  EXPECT_TRUE(font["xHeight"].is_null());
  EXPECT_TRUE(font["capHeight"].is_null());
  EXPECT_FALSE(font["glyphs"].contains("space"));
}

}  // namespace
}  // namespace batten
