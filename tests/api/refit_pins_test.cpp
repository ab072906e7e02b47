// Pins in refit(): each kind changes what comes out without it, and is looked up in the outline that is delivered.

#include <gtest/gtest.h>

#include <algorithm>

#include "batten/convert.h"
#include "batten/measure.h"
#include "batten/refit.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/shapes.h"
#include "support/spoil.h"

namespace batten {
namespace {

using namespace batten::support;

Options within(double px, std::vector<Pin> pins = {}) {
  Options options;
  options.tolerance_px = px;
  options.pins = std::move(pins);
  return options;
}

const Node* node_near(const Outline& o, Point place, double px) {
  for (const Node& n : o.nodes)
    if (std::hypot(n.at.x - place.x, n.at.y - place.y) <= px) return &n;
  return nullptr;
}

bool same(const Outline& a, const Outline& b) {
  return std::equal(a.nodes.begin(), a.nodes.end(), b.nodes.begin(), b.nodes.end(), [](const Node& m, const Node& n) {
    return m.at == n.at && m.handle_before == n.handle_before && m.handle_after == n.handle_after;
  });
}

// Two rounds in a document of any size: pins hold on the one, the other comes out as without.
TEST(RefitPins, NodesStandWhereTheyArePinnedAndOthersStay) {
  for (const double scale : {0.1, 1.0, 30.0}) {
    const auto big = [&](const Outline& o) { return cut_up(moved(o, scale, 0, {7 * scale, -3 * scale}), 16); };
    const std::vector<Outline> given = {big(circle({150, 150}, 100, 4, standard_handle(4))),
                                        big(circle({450, 150}, 80, 4, standard_handle(4)))};
    const double r = 100 * std::sqrt(0.5);
    const Point place{scale * (150 + r) + 7 * scale, scale * (150 + r) - 3 * scale};
    const Pin pin{.kind = Pin::Kind::node, .places = {place}};
    const auto without = refit(given, within(0.5 * scale)), with = refit(given, within(0.5 * scale, {pin}));
    ASSERT_TRUE(without.ok() && with.ok());
    const std::vector<Outline>&before = without->conversion.drawing.outlines,
          &after = with->conversion.drawing.outlines;
    EXPECT_EQ(node_near(before[0], place, scale), nullptr);
    const Node* node = node_near(after[0], place, 0.03 * scale);
    ASSERT_NE(node, nullptr);
    EXPECT_TRUE(node->smooth);
    EXPECT_TRUE(same(before[1], after[1]));
    ASSERT_EQ(with->conversion.report.pins.size(), 1u);
    const PinOutcome& held = with->conversion.report.pins[0];
    EXPECT_TRUE(held.held) << held.text;
    EXPECT_EQ(held.outline, 0);
    EXPECT_NEAR(held.place.x, place.x, 1e-6 * scale);
    EXPECT_LE(with->conversion.report.outlines[0].max_px, 0.5 * scale);
    EXPECT_TRUE(with->outlines[0].is_pinned && !with->outlines[1].is_pinned);
  }
}

TEST(RefitPins, CornersStraightsAndStarts) {
  // A roof whose sides meet at an angle of 20 degrees over a floor that sags by one and a half tolerances.
  std::vector<Cubic> sides = {{Point{40, 100}, {40, 100}, {200, 72}, {200, 72}},
                              {Point{200, 72}, {200, 72}, {360, 100}, {360, 100}},
                              {Point{360, 100}, {360, 100}, {360, 300}, {360, 300}},
                              {Point{360, 300}, {250, 306}, {150, 306}, {40, 300}},
                              {Point{40, 300}, {40, 300}, {40, 100}, {40, 100}}};
  const std::vector<Outline> given = {cut_up(outline_from(sides), 8)};
  const auto made = [&](const Pin& pin) {
    const auto out = refit(given, within(3, {pin}));
    EXPECT_TRUE(out.ok());
    EXPECT_TRUE(out->conversion.report.pins[0].held) << out->conversion.report.pins[0].text;
    return out->conversion.drawing.outlines[0];
  };
  const auto out = refit(given, within(3));
  ASSERT_TRUE(out.ok());
  const Outline& without = out->conversion.drawing.outlines[0];
  ASSERT_NE(node_near(without, {200, 72}, 1), nullptr);
  EXPECT_FALSE(node_near(without, {200, 72}, 1)->smooth);
  const Outline smooth = made({.kind = Pin::Kind::no_corner, .places = {{200, 72}}});
  for (const Node& n : smooth.nodes) EXPECT_TRUE(n.smooth || std::hypot(n.at.x - 200, n.at.y - 72) >= 8);

  const auto floor_is_straight = [](const Outline& o) {
    for (std::size_t i = 0; i < o.segment_count(); ++i) {
      const Cubic c = o.segment(i);
      if (std::min(c[0].y, c[3].y) > 290 && std::abs(c[0].x - c[3].x) > 200 && o.is_straight(i)) return true;
    }
    return false;
  };
  EXPECT_FALSE(floor_is_straight(without));
  EXPECT_TRUE(floor_is_straight(made({.kind = Pin::Kind::straight, .places = {{350, 300}, {50, 300}}})));

  EXPECT_NEAR(without.nodes[0].at.x, 40, 1);
  const Outline started = made({.kind = Pin::Kind::start, .places = {{360, 300}}});
  EXPECT_NEAR(started.nodes[0].at.x, 360, 1);
  EXPECT_NEAR(started.nodes[0].at.y, 300, 1);
}

TEST(RefitPins, NodesOfTwoOutlinesShareAHeight) {
  Options options = within(1);
  options.straighten = {false, false, false, false, false};
  const std::vector<Outline> given = {cut_up(circle({150, 150}, 100, 4, standard_handle(4)), 16),
                                      cut_up(circle({450, 150.8}, 100, 4, standard_handle(4)), 16)};
  const auto top = [](const Outline& o) {
    double y = 1e9;
    for (const Node& n : o.nodes) y = std::min(y, n.at.y);
    return y;
  };
  const auto without = refit(given, options);
  options.pins = {{.kind = Pin::Kind::share_y, .places = {{150, 50}, {450, 50.8}}}};
  const auto with = refit(given, options);
  ASSERT_TRUE(without.ok() && with.ok());
  EXPECT_GT(std::abs(top(without->conversion.drawing.outlines[0]) - top(without->conversion.drawing.outlines[1])), 0.3);
  EXPECT_NEAR(top(with->conversion.drawing.outlines[0]), top(with->conversion.drawing.outlines[1]), 2e-3);
  EXPECT_TRUE(with->conversion.report.pins[0].held) << with->conversion.report.pins[0].text;
}

TEST(RefitPins, AToleranceOfItsOwn) {
  std::vector<Outline> given = {cut_up(circle({150, 150}, 100, 4, standard_handle(4)), 8),
                                cut_up(circle({450, 150}, 100, 4, standard_handle(4)), 8)};
  for (Outline& o : given) {  // a bulge of half a px
    const double x = o.nodes[0].at.x < 300 ? 150 : 450;
    for (Node& n : o.nodes) {
      const double a = std::atan2(n.at.y - 150, n.at.x - x), r = 1 + 0.006 * std::sin(6 * a);
      for (Point* p : {&n.at, &n.handle_before, &n.handle_after}) *p = {x + r * (p->x - x), 150 + r * (p->y - 150)};
    }
  }
  Pin pin{.kind = Pin::Kind::tolerance, .places = {{300, 0}, {600, 0}, {600, 300}, {300, 300}}, .length_px = 0.1};
  const auto without = refit(given, within(2)), with = refit(given, within(2, {pin}));
  ASSERT_TRUE(without.ok() && with.ok());
  EXPECT_GT(without->conversion.report.outlines[1].max_px, 0.2);
  EXPECT_LE(with->conversion.report.outlines[1].max_px, 0.11);
  EXPECT_TRUE(same(without->conversion.drawing.outlines[0], with->conversion.drawing.outlines[0]));
}

TEST(RefitPins, WhatIsNotHeldIsSaidWhereItIs) {
  const double scale = 10;
  const std::vector<Outline> given = {
      moved(cut_up(circle({150, 150}, 100, 4, standard_handle(4)), 16), scale, 0, {0, 0})};
  const Pin far{.kind = Pin::Kind::corner, .places = {{-4000, 20}}},
      off{.kind = Pin::Kind::through, .places = {{scale * 262, scale * 150}}};
  const auto out = refit(given, within(0.5 * scale, {far, off}));
  ASSERT_TRUE(out.ok());
  const Report& report = out->conversion.report;
  ASSERT_EQ(report.pins.size(), 2u);
  EXPECT_FALSE(report.pins[0].held || report.pins[1].held);
  EXPECT_NEAR(report.pins[1].distance_px, 12 * scale, 0.6 * scale);
  EXPECT_NE(report.pins[1].text.find("Pin 2 (passes through) at (2620.0, 1500.0) is not held"), std::string::npos)
      << report.pins[1].text;
  EXPECT_EQ(std::count_if(report.findings.begin(), report.findings.end(),
                          [](const Finding& f) { return f.what == Finding::What::pin_not_held; }),
            2);
}

TEST(RefitPins, OfAScanOnlyOverOne) {
  const std::vector<Outline> given = {cut_up(circle({160, 160}, 100, 4, standard_handle(4)), 8)};
  for (const Pin::Kind kind : {Pin::Kind::ignore, Pin::Kind::ink, Pin::Kind::paper, Pin::Kind::drawn_as}) {
    const auto out = refit(given, within(1, {{.kind = kind, .places = {{0, 0}, {9, 0}, {9, 9}}}}));
    ASSERT_FALSE(out.ok());
    EXPECT_EQ(out.error().code, ErrorCode::bad_option);
    EXPECT_NE(out.error().message.find(name_of(kind)), std::string::npos);
  }
}

// Over a scan: on the outline that the scan places, and on one that it does not.
TEST(RefitPins, OverAScan) {
  const Outline round = circle({160, 160}, 100, 4, standard_handle(4));
  const GrayImage image = pencil_drawing(320, 320, {round}, Hand::single, false, Random("RefitPins", "scan"));
  const auto lines = locate({image.pixels.data(), image.width, image.height, image.width, PixelFormat::gray8});
  ASSERT_TRUE(lines.ok());
  const std::vector<Outline> given = {cut_up(moved(round, 1.02, 0, {-3, -3}), 8),
                                      cut_up(moved(round, 0.2, 0, {130, 130}), 8)};
  const auto plain = refit(given, Underlay{*lines, {}}, within(1));
  ASSERT_TRUE(plain.ok());
  const double r = std::sqrt(0.5);
  const Point free{162 + 20 * r, 162 + 20 * r};
  const std::vector<Pin> pins = {{.kind = Pin::Kind::start, .places = {{160, 60}}},
                                 {.kind = Pin::Kind::node, .places = {free}},
                                 {.kind = Pin::Kind::corner, .places = {{5, 5}}}};
  const auto out = refit(given, Underlay{*lines, {}}, within(1, pins));
  ASSERT_TRUE(out.ok()) << out.error().message;
  const std::vector<PinOutcome>& held = out->conversion.report.pins;
  ASSERT_EQ(held.size(), 3u);
  EXPECT_TRUE(held[0].held && held[1].held && !held[2].held) << held[0].text << held[1].text << held[2].text;
  EXPECT_EQ(held[0].outline, 0);
  EXPECT_EQ(held[1].outline, 1);
  EXPECT_EQ(held[2].text.find("Pin 3 (corner)"), 0u) << held[2].text;
  EXPECT_GT(plain->conversion.drawing.outlines[0].nodes[0].at.x, 200);
  EXPECT_NEAR(out->conversion.drawing.outlines[0].nodes[0].at.x, 160, 4);
  EXPECT_EQ(node_near(plain->conversion.drawing.outlines[1], free, 0.5), nullptr);
  EXPECT_NE(node_near(out->conversion.drawing.outlines[1], free, 0.05), nullptr);
}

}  // namespace
}  // namespace batten
