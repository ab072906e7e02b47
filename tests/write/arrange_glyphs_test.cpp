// Sheets of letters made of boxes: which pieces make a glyph, where it stands, at what scale.

#include <gtest/gtest.h>

#include <cmath>

#include "batten/glyphs.h"
#include "write/glyph_names.h"

namespace batten {
namespace {

Outline box(double left, double top, double right, double bottom, int parent = -1) {
  const auto corner = [](double x, double y) { return Node{{x, y}, {x, y}, {x, y}, false, Reason::corner}; };
  Outline outline;
  outline.nodes = {corner(left, top), corner(right, top), corner(right, bottom), corner(left, bottom)};
  outline.parent = parent;
  return outline;
}

// Letters in px for an x-height of 50, ascenders and descenders of 30, feet on `line`.
Outline x_height(double left, double line) { return box(left, line - 50, left + 40, line); }
Outline ascender(double left, double line) { return box(left, line - 80, left + 40, line); }
Outline descender(double left, double line) { return box(left, line - 50, left + 40, line + 30); }
Outline dot(double left, double line) { return box(left, line - 75, left + 10, line - 65); }

Drawing sheet(std::vector<Outline> outlines) {
  Drawing drawing;
  drawing.width_px = 1000, drawing.height_px = 800;
  drawing.outlines = std::move(outlines);
  return drawing;
}

using Groups = std::vector<std::vector<std::size_t>>;
Groups groups(const std::vector<Outline>& outlines) {
  const Result<GlyphSheet> arranged = arrange_glyphs(sheet(outlines));
  EXPECT_TRUE(arranged.ok());
  Groups found;
  for (const Glyph& glyph : arranged->glyphs) {
    found.push_back(glyph.outlines);
    std::sort(found.back().begin(), found.back().end());
  }
  return found;
}

TEST(ArrangeGlyphs, DotsAndAccentsJoinTheirLetter) {
  const double line = 200;
  // a i j, an a with an accent, an i with two dots that stand outside of its stem, and a c with a cedilla.
  EXPECT_EQ(groups({x_height(0, line), box(80, 150, 90, line), dot(80, line), box(130, 150, 140, 230), dot(131, line),
                    x_height(200, line), box(215, 125, 245, 140), box(300, 150, 310, line), box(286, 125, 296, 135),
                    box(314, 125, 324, 135), x_height(380, line), box(392, 204, 408, 225), ascender(450, line)}),
            (Groups{{0}, {1, 2}, {3, 4}, {5, 6}, {7, 8, 9}, {10, 11}, {12}}));
}

TEST(ArrangeGlyphs, PunctuationIsPutTogether) {
  const double line = 200;
  // : ; ! = " and a plain comma and full stop, between letters.
  EXPECT_EQ(groups({ascender(0, line), box(60, 150, 70, 160), box(60, 190, 70, line), box(100, 150, 110, 160),
                    box(100, 190, 112, 215), box(150, 120, 160, 180), box(150, 190, 160, line), box(200, 160, 240, 166),
                    box(200, 180, 240, 186), box(280, 120, 288, 145), box(294, 120, 302, 145), x_height(330, line),
                    box(375, 190, 385, 215), x_height(420, line), box(465, 190, 475, line)}),
            (Groups{{0}, {1, 2}, {3, 4}, {5, 6}, {7, 8}, {9, 10}, {11}, {12}, {13}, {14}}));
}

TEST(ArrangeGlyphs, LettersThatReachOverTheirNeighboursStayApart) {
  // T over o, and an f whose arm reaches over an x.
  EXPECT_EQ(groups({box(0, 100, 60, 200), x_height(45, 200), box(120, 100, 170, 200), x_height(155, 200)}),
            (Groups{{0}, {1}, {2}, {3}}));
}

TEST(ArrangeGlyphs, CountersAndIslandsBelongToTheShapeRoundThem) {
  EXPECT_EQ(groups({box(0, 0, 100, 100), box(20, 20, 80, 80, 0), box(40, 40, 60, 60, 1), box(150, 0, 250, 100)}),
            (Groups{{0, 1, 2}, {3}}));
}

std::vector<double> baselines(Drawing drawing, const GlyphOptions& options = {}) {
  const Result<GlyphSheet> arranged = arrange_glyphs(drawing, options);
  EXPECT_TRUE(arranged.ok()) << arranged.error().message;
  std::vector<double> found;
  for (const Glyph& glyph : arranged->glyphs) found.push_back(glyph.origin.y);
  return found;
}

TEST(ArrangeGlyphs, TheBaselineIsWhereMostLettersStand) {
  // Round letters hang a little lower, descenders a lot; the second row has a line of its own.
  const Drawing drawing = sheet({descender(0, 200), x_height(60, 201.5), ascender(120, 200), x_height(180, 200),
                                 descender(240, 200), ascender(0, 400), x_height(60, 400)});
  EXPECT_EQ(baselines(drawing), (std::vector<double>{200, 200, 200, 200, 200, 400, 400}));
}

TEST(ArrangeGlyphs, ARuledLineBeatsTheLettersOwnLevel) {
  Drawing drawing = sheet({descender(0, 200), x_height(60, 202), ascender(120, 201), x_height(180, 200)});
  drawing.guides = {{100, 0}, {199, 0}, {230, 0}};
  for (const double y : baselines(drawing)) EXPECT_EQ(y, 199);
}

TEST(ArrangeGlyphs, ASheetLaidAskewHasABaselineThatSlants) {
  std::vector<Outline> outlines;
  for (int i = 0; i < 8; ++i) outlines.push_back(x_height(60 * i, 200 + 60 * i * 0.0349));  // two degrees
  const std::vector<double> found = baselines(sheet(outlines));
  for (int i = 0; i < 8; ++i) EXPECT_NEAR(found[i], 200 + 60 * i * 0.0349, 0.1);
}

TEST(ArrangeGlyphs, BaselinesCanBeGivenOneForEachRow) {
  const Drawing drawing = sheet({ascender(0, 200), ascender(0, 400)});
  EXPECT_EQ(baselines(drawing, {.baselines_px = {190, 395.5}}), (std::vector<double>{190, 395.5}));
  const Result<GlyphSheet> one = arrange_glyphs(drawing, {.baselines_px = {190}});
  ASSERT_FALSE(one.ok());
  EXPECT_EQ(one.error().code, ErrorCode::bad_option);
  EXPECT_NE(one.error().message.find("2 rows"), std::string::npos);
}

TEST(ArrangeGlyphs, TheScaleComesFromTheTallestLetterTheNamesTheLinesOrTheCaller) {
  const Drawing tall = sheet({ascender(0, 200), x_height(60, 200)});
  EXPECT_DOUBLE_EQ(arrange_glyphs(tall)->units_per_px, 1000 * 0.7 / 80);
  EXPECT_DOUBLE_EQ(arrange_glyphs(tall, {.units_per_em = 2048, .em_px = 128})->units_per_px, 16);
  const Drawing small = sheet({x_height(0, 200), x_height(60, 200)});
  EXPECT_DOUBLE_EQ(arrange_glyphs(small, {.names = {"o", "x"}})->units_per_px, 1000 * 0.48 / 50);
  Drawing accented = sheet({ascender(0, 200), box(5, 90, 35, 110), ascender(60, 200)});
  EXPECT_DOUBLE_EQ(arrange_glyphs(accented)->units_per_px, 1000 * 0.7 / 80) << "without the accent";
  accented.guides = {{118, 0}, {200, 0}};  // the cap line is 2 px above the letters' tops
  EXPECT_DOUBLE_EQ(arrange_glyphs(accented)->units_per_px, 1000 * 0.7 / 82);
}

TEST(ArrangeGlyphs, NamesGoInReadingOrderAndMustBeAsMany) {
  const Drawing drawing = sheet({ascender(60, 200), ascender(0, 200), ascender(0, 400)});
  const Result<GlyphSheet> named = arrange_glyphs(drawing, {.names = {"A", "&", "b.alt"}});
  ASSERT_TRUE(named.ok());
  EXPECT_EQ(named->glyphs[0].name, "A");
  EXPECT_EQ(named->glyphs[0].outlines, std::vector<std::size_t>{1});
  EXPECT_EQ(named->glyphs[1].name, "ampersand");
  EXPECT_EQ(named->glyphs[1].character, U'&');
  EXPECT_EQ(named->glyphs[2].character, U'\0') << "an alternate is not the character";
  for (const auto& names : {std::vector<std::string>{"A"}, {"A", "b", "c", "d"}}) {
    const Result<GlyphSheet> refused = arrange_glyphs(drawing, {.names = names});
    ASSERT_FALSE(refused.ok());
    EXPECT_EQ(refused.error().code, ErrorCode::names_mismatch);
    EXPECT_NE(refused.error().message.find("3 glyphs"), std::string::npos);
  }
}

TEST(ArrangeGlyphs, OptionsOutOfRangeAreRefusedByName) {
  const Drawing drawing = sheet({ascender(0, 200)});
  const std::pair<GlyphOptions, const char*> cases[] = {{{.names = {"a", "a"}}, "names"},
                                                        {{.names = {"&", "ampersand"}}, "names"},
                                                        {{.names = {""}}, "names"},
                                                        {{.names = {"a b"}}, "names"},
                                                        {{.names = {"a\nb"}}, "names"},
                                                        {{.names = {"\xff"}}, "names"},
                                                        {{.units_per_em = 15}, "units_per_em"},
                                                        {{.units_per_em = 16385}, "units_per_em"},
                                                        {{.em_px = -1}, "em_px"},
                                                        {{.em_px = NAN}, "em_px"},
                                                        {{.baselines_px = {INFINITY}}, "baselines_px"},
                                                        {{.side_bearing_em = 2}, "side_bearing_em"}};
  for (const auto& [options, place] : cases) {
    const Result<GlyphSheet> refused = arrange_glyphs(drawing, options);
    ASSERT_FALSE(refused.ok()) << place;
    EXPECT_EQ(refused.error().code, ErrorCode::bad_option);
    EXPECT_EQ(refused.error().place, place);
  }
  EXPECT_EQ(arrange_glyphs(sheet({})).error().code, ErrorCode::no_ink_found);
}

// Values from the Adobe Glyph List Specification, section 2, and the list itself.
TEST(GlyphNames, StandForCharactersAsTheListSays) {
  EXPECT_EQ(character_of("A"), U'A');
  EXPECT_EQ(character_of("zero"), U'0');
  EXPECT_EQ(character_of("Lcaron"), 0x013Du);
  EXPECT_EQ(character_of("Euro"), 0x20ACu);
  EXPECT_EQ(character_of("uni20AC"), 0x20ACu);
  EXPECT_EQ(character_of("u1040C"), 0x1040Cu);
  for (const char* nobody : {"foo", "uni20ac", "uniD801", "uD801", "u1F", "uni20AC0308", ".notdef", "", "1", "u110000"})
    EXPECT_FALSE(character_of(nobody)) << nobody;
}

TEST(GlyphNames, ACharacterCanBeTypedForItsName) {
  EXPECT_EQ(glyph_name_of("&"), "ampersand");
  EXPECT_EQ(glyph_name_of("7"), "seven");
  EXPECT_EQ(glyph_name_of("é"), "eacute");
  EXPECT_EQ(glyph_name_of("ẞ"), "uni1E9E");
  EXPECT_EQ(glyph_name_of("😀"), "u1F600");
  EXPECT_EQ(glyph_name_of("Q"), "Q");
  EXPECT_EQ(glyph_name_of("ampersand"), "ampersand");
  EXPECT_EQ(glyph_name_of("ée"), "ée");
}

}  // namespace
}  // namespace batten
