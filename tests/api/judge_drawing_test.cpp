// judge(): the designers' outlines of open fonts on scans of themselves, as they are and with faults put in. Debian
// packages fonts-texgyre (GUST Font Licence) and fonts-cantarell (OFL-1.1).

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "base/cubic.h"
#include "batten/convert.h"
#include "batten/measure.h"
#include "judge/advise_outlines.h"
#include "judge/name_nodes.h"
#include "support/field.h"
#include "support/font_outline.h"
#include "support/shapes.h"

namespace batten {
namespace {

struct Glyph {
  std::string name;
  Drawing drawing;
  std::vector<std::uint8_t> pixels;  // the shape itself, each pixel by the share of its area that is covered
  ImageView view() const {
    return {pixels.data(), int(drawing.width_px), int(drawing.height_px), std::ptrdiff_t(drawing.width_px),
            PixelFormat::gray8};
  }
};

Glyph draw(const std::string& font, char32_t character) {
  Glyph g;
  g.name = font + " U+" + std::to_string(unsigned(character));
  g.drawing.outlines = support::glyph(support::font_file(font), character, 400, 40);
  if (g.drawing.outlines.empty()) return g;
  const support::Extent size = support::extent_of(g.drawing.outlines, 40);
  g.drawing.width_px = size.width, g.drawing.height_px = size.height;
  for (const float ink : support::coverage(size.width, size.height, g.drawing.outlines).values)
    g.pixels.push_back(std::uint8_t(std::lround(255 * (1 - ink))));
  return g;
}

// Glyphs with upright stems and nodes at all extremes, as their designers drew them.
std::vector<Glyph> glyphs() {
  std::vector<Glyph> out;
  for (const char* font : {"texgyreadventor-bold.otf", "texgyreheros-bold.otf", "Cantarell-ExtraBold.otf"})
    for (const char32_t character : U"BRSaebdpq3569&") {
      if (character == 0) continue;
      Glyph g = draw(font, character);
      if (!g.drawing.outlines.empty()) out.push_back(std::move(g));
    }
  return out;
}

using Kinds = std::map<Finding::What, std::vector<Point>>;
Kinds advice_of(const Report& report) {
  Kinds kinds;
  for (const Finding& f : report.findings)
    if (f.what != Finding::What::tolerance_exceeded) kinds[f.what].push_back(f.place);
  return kinds;
}
bool listed(const std::vector<Point>& places, Point p, double within_px = 0.01) {
  return std::any_of(places.begin(), places.end(),
                     [&](Point q) { return std::hypot(p.x - q.x, p.y - q.y) <= within_px; });
}

TEST(Judge, ADesignersOutlineLiesOnAScanOfItselfToATenthOfAPixel) {
  std::size_t tried = 0;
  for (const Glyph& g : glyphs()) {
    const Result<Located> sketch = locate(g.view());
    ASSERT_TRUE(sketch.ok()) << g.name;
    const Result<Conversion> judged = judge(*sketch, g.drawing);
    ASSERT_TRUE(judged.ok()) << g.name;
    EXPECT_LE(judged->report.rms_px, 0.1) << g.name;
    for (const OutlineReport& r : judged->report.outlines) EXPECT_LE(r.rms_px, 0.1) << g.name;
    EXPECT_EQ(judged->report.outlines.size(), g.drawing.outlines.size());
    ++tried;
  }
  EXPECT_GE(tried, 12u) << "fonts are missing";
}

struct Faults {
  Point extreme, kink;
  std::vector<Point> needless;
};

bool is_extreme(Reason r) { return r >= Reason::extreme_left && r <= Reason::extreme_bottom; }

bool opposite(Reason a, Reason b) {
  const auto pair = [&](Reason x, Reason y) { return (a == x && b == y) || (a == y && b == x); };
  return pair(Reason::extreme_left, Reason::extreme_right) || pair(Reason::extreme_top, Reason::extreme_bottom);
}

// Cuts segments by de Casteljau, long ones twice, until there are ten new nodes; `spared` ones stay whole.
template <class Spared>
void cut_segments(Outline& o, std::vector<Point>& new_nodes, Spared&& spared) {
  std::vector<Node> nodes;
  for (std::size_t i = 0; i < o.nodes.size(); ++i) {
    nodes.push_back(o.nodes[i]);
    Cubic rest = o.segment(i);
    const bool straight = o.is_straight(i);
    for (const int parts : {3, 2}) {  // a third, then half of what is left
      if (spared(i) || new_nodes.size() == 10 || length(rest) < 40) break;
      const auto [first, second] = split(rest, 1.0 / parts);
      if (straight) {
        nodes.push_back({first[3], first[3], first[3]});
      } else {
        nodes.back().handle_after = first[1];
        nodes.push_back({first[2], first[3], second[1]});
        (i + 1 == o.nodes.size() ? nodes.front() : o.nodes[i + 1]).handle_before = second[2];
      }
      new_nodes.push_back(first[3]);
      rest = straight ? Cubic{first[3], first[3], rest[3], rest[3]} : second;
    }
  }
  o.nodes = nodes;
}

// Takes one extreme away of a half turn (its neighbours' handles grow), turns one handle by 2 degrees, and
// cuts others in ten places, which changes nothing.
std::optional<Faults> spoil(Drawing& drawing) {
  Outline& o = *std::max_element(drawing.outlines.begin(), drawing.outlines.end(),
                                 [](const Outline& a, const Outline& b) { return a.nodes.size() < b.nodes.size(); });
  name_nodes(&o);
  const auto before = [&](std::size_t i) { return i == 0 ? o.nodes.size() - 1 : i - 1; };
  const auto after = [&](std::size_t i) { return (i + 1) % o.nodes.size(); };
  Faults faults;
  std::size_t gone = o.nodes.size();
  for (std::size_t i = 0; i < o.nodes.size() && gone == o.nodes.size(); ++i)
    if (is_extreme(o.nodes[i].reason) && !o.is_straight(i) && !o.is_straight(before(i)) &&
        opposite(o.nodes[before(i)].reason, o.nodes[after(i)].reason))
      gone = i;
  if (gone == o.nodes.size()) return std::nullopt;
  faults.extreme = o.nodes[gone].at;
  Node &a = o.nodes[before(gone)], &b = o.nodes[after(gone)];
  const double in = distance(o.nodes[gone].handle_before, faults.extreme),
               out = distance(o.nodes[gone].handle_after, faults.extreme), share = in / (in + out);
  a.handle_after = a.at + (1 / share) * (a.handle_after - a.at);  // de Casteljau's cut at `share`, backwards
  b.handle_before = b.at + (1 / (1 - share)) * (b.handle_before - b.at);
  o.nodes.erase(o.nodes.begin() + std::ptrdiff_t(gone));
  const std::size_t merged = gone == 0 ? o.nodes.size() - 1 : gone - 1;

  std::size_t turned = o.nodes.size();
  double longest = 20;
  for (std::size_t i = 0; i < o.nodes.size(); ++i) {
    const double in = distance(o.nodes[i].at, o.nodes[i].handle_before),
                 out = distance(o.nodes[i].at, o.nodes[i].handle_after);
    if (o.nodes[i].smooth && i != merged && i != after(merged) && std::min(in, out) > longest)
      turned = i, longest = std::min(in, out);
  }
  if (turned == o.nodes.size()) return std::nullopt;
  const Point h = o.nodes[turned].handle_after - o.nodes[turned].at;
  const double angle = radians(2);
  o.nodes[turned].handle_after = o.nodes[turned].at + Point{std::cos(angle) * h.x - std::sin(angle) * h.y,
                                                            std::sin(angle) * h.x + std::cos(angle) * h.y};
  faults.kink = o.nodes[turned].at;

  for (Outline& each : drawing.outlines)
    cut_segments(each, faults.needless, [&](std::size_t i) {
      return &each == &o && (i == merged || i == turned || (i + 1) % o.nodes.size() == turned);
    });
  if (faults.needless.size() < 10) return std::nullopt;
  return faults;
}

TEST(Judge, NamesExactlyTheFaultsThatWerePutIn) {
  std::size_t tried = 0;
  for (const Glyph& g : glyphs()) {
    const Result<Located> sketch = locate(g.view());
    const Kinds before = advice_of(judge(*sketch, g.drawing)->report);
    Drawing spoilt = g.drawing;
    const std::optional<Faults> faults = spoil(spoilt);
    if (!faults || !before.empty()) continue;  // too few nodes, or the designer's own are not all as one teaches it
    const Kinds kinds = advice_of(judge(*sketch, spoilt)->report);
    const auto places = [&](Finding::What what) { return kinds.count(what) ? kinds.at(what) : std::vector<Point>{}; };
    ASSERT_EQ(places(Finding::What::extreme_without_node).size(), 1u) << g.name;
    EXPECT_TRUE(listed(places(Finding::What::extreme_without_node), faults->extreme, 40)) << g.name;
    ASSERT_EQ(places(Finding::What::kink).size(), 1u) << g.name;
    EXPECT_TRUE(listed(places(Finding::What::kink), faults->kink)) << g.name;
    EXPECT_EQ(places(Finding::What::needless_node).size(), 10u) << g.name;
    for (const Point p : faults->needless) EXPECT_TRUE(listed(places(Finding::What::needless_node), p)) << g.name;
    EXPECT_EQ(kinds.size(), 3u) << g.name << ": nothing else is named";
    ++tried;
  }
  EXPECT_GE(tried, 4u);
}

Outline polygon(const std::vector<Point>& corners) {
  Outline o;
  for (const Point p : corners) o.nodes.push_back({p, p, p, false, Reason::corner});
  return o;
}
std::vector<Finding> advice(Outline o, double tolerance_px = 1) {
  name_nodes(&o);
  return advise_outline(o, 3, tolerance_px);
}

TEST(Advise, AStemThatLeansByLessThanTheToleranceIsNamedAndAnItalicIsNot) {
  const auto found = advice(polygon({{10, 10}, {60, 10}, {60.6, 200}, {10, 200}}));
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].what, Finding::What::nearly_on_axis);
  EXPECT_NEAR(found[0].amount_px, 0.6, 1e-9);
  EXPECT_EQ(found[0].outline, 3);
  EXPECT_TRUE(advice(polygon({{40, 10}, {90, 10}, {60, 200}, {10, 200}})).empty());
  EXPECT_TRUE(advice(polygon({{10, 10}, {60, 10}, {60, 200}, {10, 200}})).empty());
}

TEST(Advise, AStraightDrawnWithHandles) {
  Outline o = polygon({{10, 10}, {110, 10}, {110, 200}, {10, 200}});
  o.nodes[0].handle_after = {40, 10}, o.nodes[1].handle_before = {80, 10};
  const auto found = advice(o);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].what, Finding::What::straight_with_handles);
}

// A circle of radius 100, its node at the top moved along by 2 degrees with both its handles.
TEST(Advise, TiltedHandlesOfAnExtremeAreNoMissingNode) {
  const double k = 0.5522847498 * 100, a = radians(2);
  Outline o;
  o.nodes = {{{100, 200 + k}, {100, 200}, {100, 200 - k}},
             {{}, {}, {}},
             {{300, 200 - k}, {300, 200}, {300, 200 + k}},
             {{200 + k, 300}, {200, 300}, {200 - k, 300}}};
  const Point top = Point{200, 200} + 100 * Point{std::sin(a), -std::cos(a)}, along{std::cos(a), std::sin(a)};
  o.nodes[1] = {top - k * along, top, top + k * along};
  const auto found = advice(o);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].what, Finding::What::handle_off_axis);
  EXPECT_NE(found[0].text.find("2.0 degrees off level"), std::string::npos) << found[0].text;
}

TEST(Judge, TellsWhatLiesOnNothingAndWhatHasNoOutline) {
  const Glyph g = draw("texgyreheros-bold.otf", U'B');
  ASSERT_EQ(g.drawing.outlines.size(), 3u);
  const Result<Located> sketch = locate(g.view());
  Drawing other = g.drawing;
  for (Node& n : other.outlines[1].nodes)
    n = {n.handle_before + Point{90, 0}, n.at + Point{90, 0}, n.handle_after + Point{90, 0}};
  const Kinds kinds = advice_of(judge(*sketch, other)->report);
  EXPECT_EQ(kinds.at(Finding::What::not_drawn).size(), 1u);
  EXPECT_EQ(kinds.at(Finding::What::no_outline).size(), 1u);
  EXPECT_FALSE(std::isfinite(judge(*sketch, other)->report.outlines[1].max_px));
}

TEST(Judge, WhatBattenTracesItselfHasNoKinksAndNoTiltedHandles) {
  const Glyph g = draw("Cantarell-ExtraBold.otf", U'a');
  const Result<Located> sketch = locate(g.view());
  const Result<Conversion> traced = convert(*sketch), judged = judge(*sketch, traced->drawing);
  for (const Finding& f : judged->report.findings) {
    EXPECT_NE(f.what, Finding::What::kink) << f.text;
    EXPECT_NE(f.what, Finding::What::handle_off_axis) << f.text;
    EXPECT_NE(f.what, Finding::What::straight_with_handles) << f.text;
  }
  // Both judge the same curves on the same loops.
  EXPECT_NEAR(judged->report.rms_px, traced->report.rms_px, 0.02);
}

TEST(Compare, CountsOutlinesSegmentsAndCornersAndMeasuresBothWays) {
  const Glyph g = draw("texgyreheros-bold.otf", U'B');
  const Comparison same = compare(g.drawing, g.drawing);
  EXPECT_EQ(same.outlines, 3u);
  EXPECT_EQ(same.missing + same.extra + same.corners_missing + same.corners_extra, 0u);
  EXPECT_GT(same.corners_found, 4u);
  EXPECT_LT(same.max_px, 0.05);
  EXPECT_EQ(same.segments, same.truth_segments);

  Drawing square, other;
  square.outlines = {polygon({{0, 0}, {100, 0}, {100, 100}, {0, 100}})};
  other.outlines = {polygon({{0, 0}, {103, 0}, {103, 100}, {0, 100}}), polygon({{300, 300}, {310, 300}, {310, 310}})};
  const Comparison c = compare(other, square);
  EXPECT_EQ(c.outlines, 1u);
  EXPECT_EQ(c.extra, 1u);
  EXPECT_EQ(c.corners_found, 4u) << "3 px off is found";
  EXPECT_NEAR(c.max_px, 3, 0.01);
  EXPECT_EQ(compare(square, other).missing, 1u);
}

}  // namespace
}  // namespace batten
