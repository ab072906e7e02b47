// refit() over a scan: outlines that lie a little off what was drawn, against what the pencil aimed at.

#include <gtest/gtest.h>

#include <algorithm>

#include "batten/convert.h"
#include "batten/measure.h"
#include "batten/refit.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/score.h"
#include "support/shapes.h"
#include "support/spoil.h"

namespace batten {
namespace {

using namespace batten::support;

struct Sheet {
  std::vector<Outline> truth;
  GrayImage image;
  ImageView view() const { return {image.pixels.data(), image.width, image.height, image.width, PixelFormat::gray8}; }
};

Sheet drawn(const std::string& name, const std::vector<Outline>& truth, Hand hand) {
  const Extent size = extent_of(truth, 60);
  return {truth, pencil_drawing(size.width, size.height, truth, hand, false, Random("RefitOver", name))};
}

Located located(const Sheet& sheet) {
  const auto lines = locate(sheet.view());
  EXPECT_TRUE(lines.ok());
  return *lines;
}

Options within(double px) {
  Options options;
  options.tolerance_px = px;
  return options;
}

std::vector<Outline> careless(const std::vector<Outline>& truth, Random random) {
  std::vector<Outline> out;
  for (const Outline& o : truth) out.push_back(cut_up(shaken(o, 2, 3, &random), 8));
  return out;
}

// Letters whose every node lies 2 to 3 px off, in eight pieces a segment: as few nodes as the designers set, with their
// corners, as near to what the pencil aimed at as a trace of the same scan comes.
TEST(RefitOver, CarelessLettersLieWhereThePencilWent) {
  for (const auto& [font, character] :
       {std::pair("texgyrepagella-italic.otf", U'g'), std::pair("texgyreheros-bold.otf", U'k'),
        std::pair("texgyrebonum-bold.otf", U'R')}) {
    const std::vector<Outline> truth = glyph(font_file(font), character, 480, 60);
    if (truth.empty()) GTEST_SKIP() << "the fonts are not installed";
    const Sheet sheet = drawn(font, truth, Hand::single);
    const Located lines = located(sheet);
    const std::vector<Outline> given = careless(truth, Random("RefitOver", font));
    const auto out = refit(given, Underlay{lines, {}}, within(1));
    ASSERT_TRUE(out.ok()) << out.error().message;
    const auto traced = convert(lines, within(1));
    ASSERT_TRUE(traced.ok());
    const std::vector<Outline>& made = out->conversion.drawing.outlines;
    const Score before = score(truth, given), after = score(truth, made),
                trace = score(truth, traced->drawing.outlines);
    EXPECT_LE(after.nodes(), 1.05) << font;
    EXPECT_LT(after.rms_px, 0.5 * before.rms_px) << font;
    EXPECT_LE(after.rms_px, trace.rms_px + 0.05) << font;
    EXPECT_EQ(after.corners_found, after.truth_corners) << font;
    EXPECT_EQ(after.false_corners + after.crossing, 0u) << font;
    for (std::size_t i = 0; i < given.size(); ++i) {
      const Refitting& now = out->outlines[i];
      EXPECT_TRUE(now.over_scan) << font;
      EXPECT_LT(now.scan_after.rms_px, 0.5 * now.scan_before.rms_px) << font;
      EXPECT_EQ(now.segments_after, made[i].segment_count());
      EXPECT_GT(signed_area_px2(made[i]) * signed_area_px2(given[i]), 0) << font;
      // It begins where it began.
      const auto off_px = [&](const Node& n) {
        return std::hypot(n.at.x - given[i].nodes[0].at.x, n.at.y - given[i].nodes[0].at.y);
      };
      for (const Node& n : made[i].nodes) EXPECT_GE(off_px(n) + 4, off_px(made[i].nodes[0])) << font;
    }
  }
}

// Outlines the other way round come out the other way round, and otherwise the same.
TEST(RefitOver, TheDirectionIsThePaths) {
  const Outline round = circle({160, 160}, 100, 4, standard_handle(4));
  const Sheet sheet = drawn("round", {round}, Hand::single);
  const Located lines = located(sheet);
  const auto one = refit(std::vector{cut_up(round, 8)}, Underlay{lines, {}}, within(1));
  const auto other = refit(std::vector{cut_up(reversed(round), 8)}, Underlay{lines, {}}, within(1));
  ASSERT_TRUE(one.ok() && other.ok());
  const Outline &a = one->conversion.drawing.outlines[0], b = reversed(other->conversion.drawing.outlines[0]);
  ASSERT_EQ(a.nodes.size(), 4u);
  ASSERT_EQ(b.nodes.size(), 4u);
  EXPECT_LT(signed_area_px2(a) * signed_area_px2(other->conversion.drawing.outlines[0]), 0);
  for (const Node& n : a.nodes)
    EXPECT_TRUE(std::any_of(b.nodes.begin(), b.nodes.end(), [&](const Node& m) {
      return m.at == n.at && m.handle_before == n.handle_before && m.handle_after == n.handle_after;
    }));
}

// The edge of a shaded shape, and a line that ends.
TEST(RefitOver, ShadedShapesAndOpenLines) {
  const Outline square = polygon({{60, 60}, {260, 60}, {260, 260}, {60, 260}});
  const Sheet shaded = drawn("shaded", {square}, Hand::shaded);
  Random random("RefitOver", "shaded");
  const auto edge =
      refit(std::vector{cut_up(shaken(square, 2, 3, &random), 8)}, Underlay{located(shaded), {}}, within(1));
  ASSERT_TRUE(edge.ok());
  EXPECT_TRUE(edge->outlines[0].over_scan);
  EXPECT_EQ(edge->outlines[0].segments_after, 4u);
  EXPECT_EQ(edge->conversion.drawing.outlines[0].kind, Kind::filled);

  Sheet arc = drawn("arc", {circle({160, 160}, 100, 4, standard_handle(4))}, Hand::single);
  const int width = arc.image.width;
  for (int y = 170; y < arc.image.height; ++y)  // bare paper over the lower half
    std::copy_n(arc.image.pixels.begin() + y % 40 * width, width, arc.image.pixels.begin() + y * width);
  Options lines_only = within(1);
  lines_only.drawing = Options::DrawingKind::lines;
  const auto lines = locate(arc.view(), lines_only);
  ASSERT_TRUE(lines.ok());
  Outline half;
  half.closed = false, half.kind = Kind::line;
  for (int i = 0; i <= 24; ++i) {  // a polygon of straights from left to right over the top
    const double a = (180 + 180. * i / 24) * 3.14159265358979 / 180;
    const Point at{162 + 100 * std::cos(a), 158 + 100 * std::sin(a) + (i == 0 || i == 24 ? 10 : 0)};
    half.nodes.push_back({at, at, at, false, Reason::added});
  }
  const auto open = refit(std::vector{half}, Underlay{*lines, {}}, lines_only);
  ASSERT_TRUE(open.ok());
  EXPECT_TRUE(open->outlines[0].over_scan);
  const Outline& line = open->conversion.drawing.outlines[0];
  EXPECT_FALSE(line.closed);
  EXPECT_LE(line.segment_count(), 4u);
  EXPECT_LT(line.nodes.front().at.x, line.nodes.back().at.x);
  EXPECT_LT(open->outlines[0].scan_after.rms_px, 0.5 * open->outlines[0].scan_before.rms_px);
}

// A path away from all ink is refitted by itself, and said to be; so is one that strays from its line.
TEST(RefitOver, WhatLiesOnNothingIsRefittedWithoutTheScan) {
  const Outline round = circle({160, 160}, 100, 4, standard_handle(4));
  const Sheet sheet = drawn("round", {round}, Hand::single);
  const Located lines = located(sheet);
  const Outline away = cut_up(moved(round, 0.2, 0, {130, 130}), 8);
  Outline strays = cut_up(round, 8);
  for (Node* n : {&strays.nodes[5]})
    for (Point* p : {&n->at, &n->handle_before, &n->handle_after}) p->x += 60;
  const std::vector<Outline> given = {away, strays};
  const auto out = refit(given, Underlay{lines, {}}, within(1));
  const auto alone = refit(given, within(1));
  ASSERT_TRUE(out.ok() && alone.ok());
  for (std::size_t i = 0; i < given.size(); ++i) {
    EXPECT_FALSE(out->outlines[i].over_scan);
    EXPECT_EQ(out->outlines[i].segments_after, alone->outlines[i].segments_after);
    const std::vector<Node>&a = out->conversion.drawing.outlines[i].nodes,
          &b = alone->conversion.drawing.outlines[i].nodes;
    ASSERT_EQ(a.size(), b.size());
    for (std::size_t k = 0; k < a.size(); ++k) EXPECT_EQ(a[k].at, b[k].at);
    EXPECT_EQ(
        std::count_if(out->conversion.report.findings.begin(), out->conversion.report.findings.end(),
                      [&](const Finding& f) { return f.what == Finding::What::not_drawn && f.outline == int(i); }),
        1);
  }
  // What the caller leaves out is not looked for, and nothing is said of it.
  const auto left = refit(std::vector{cut_up(round, 8)}, Underlay{lines, {0}}, within(1));
  ASSERT_TRUE(left.ok());
  EXPECT_FALSE(left->outlines[0].over_scan);
  EXPECT_TRUE(std::none_of(left->conversion.report.findings.begin(), left->conversion.report.findings.end(),
                           [](const Finding& f) { return f.what == Finding::What::not_drawn; }));
}

// What the path says is a corner is one, and what it says is smooth is none.
TEST(RefitOver, ThePathTellsWhatIsACorner) {
  // A square with rounded corners of a radius of two widths of the line: a trace finds no corner there.
  const double r = 16, k = 0.5523 * r;
  const std::vector<Cubic> rounded = {{Point{60 + r, 60}, {60 + r, 60}, {260 - r, 60}, {260 - r, 60}},
                                      {Point{260 - r, 60}, {260 - r + k, 60}, {260, 60 + r - k}, {260, 60 + r}},
                                      {Point{260, 60 + r}, {260, 60 + r}, {260, 260 - r}, {260, 260 - r}},
                                      {Point{260, 260 - r}, {260, 260 - r + k}, {260 - r + k, 260}, {260 - r, 260}},
                                      {Point{260 - r, 260}, {260 - r, 260}, {60 + r, 260}, {60 + r, 260}},
                                      {Point{60 + r, 260}, {60 + r - k, 260}, {60, 260 - r + k}, {60, 260 - r}},
                                      {Point{60, 260 - r}, {60, 260 - r}, {60, 60 + r}, {60, 60 + r}},
                                      {Point{60, 60 + r}, {60, 60 + r - k}, {60 + r - k, 60}, {60 + r, 60}}};
  const Outline soft = outline_from(rounded), sharp = polygon({{60, 60}, {260, 60}, {260, 260}, {60, 260}});
  const auto corners = [](const Refitted& out) {
    const std::vector<Node>& nodes = out.conversion.drawing.outlines[0].nodes;
    return std::count_if(nodes.begin(), nodes.end(), [](const Node& n) { return n.reason == Reason::corner; });
  };
  const Sheet sheet = drawn("soft", {soft}, Hand::single);
  const Located lines = located(sheet);
  const auto as_sharp = refit(std::vector{cut_up(sharp, 8)}, Underlay{lines, {}}, within(1));
  const auto as_soft = refit(std::vector{cut_up(soft, 8)}, Underlay{lines, {}}, within(1));
  ASSERT_TRUE(as_sharp.ok() && as_soft.ok());
  ASSERT_TRUE(as_sharp->outlines[0].over_scan && as_soft->outlines[0].over_scan);
  EXPECT_EQ(corners(*as_soft), 0);
  EXPECT_EQ(corners(*as_sharp), 4);
}

TEST(RefitOver, SaysWhatIsWrong) {
  const Outline round = circle({160, 160}, 100, 4, standard_handle(4));
  const Sheet sheet = drawn("round", {round}, Hand::single);
  const Located lines = located(sheet);
  Outline bad = round;
  bad.nodes[1].at.x = std::nan("");
  EXPECT_EQ(refit(std::vector{bad}, Underlay{lines, {}}, within(1)).error().code, ErrorCode::bad_polyline);
  EXPECT_EQ(refit(std::vector{round}, Underlay{lines, {}}, within(-1)).error().code, ErrorCode::bad_option);
  EXPECT_TRUE(refit({}, Underlay{lines, {}}, within(1)).ok());
  Options none;
  none.tolerance_px.reset();  // the scan tells
  const auto chosen = refit(std::vector{cut_up(round, 8)}, Underlay{lines, {}}, none);
  ASSERT_TRUE(chosen.ok());
  EXPECT_GE(chosen->conversion.report.tolerance_px, 0.5);
  std::stop_source stop;
  stop.request_stop();
  EXPECT_EQ(refit(std::vector{round}, Underlay{lines, {}}, within(1), {{}, {}, stop.get_token()}).error().code,
            ErrorCode::cancelled);
}

}  // namespace
}  // namespace batten
