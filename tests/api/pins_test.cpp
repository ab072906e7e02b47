// Every kind of pin about outlines: the drawing is wrong without it and right with it. Polylines are exact.
#include <gtest/gtest.h>

#include "support/line_network.h"
#include "support/pinned.h"
#include "support/shapes.h"

namespace batten {
namespace {

using namespace testing;
using Polylines = std::vector<std::vector<Point>>;
using Kind = Pin::Kind;

Conversion fitted(const Polylines& loops, const Options& options) {
  auto result = fit(loops, options);
  EXPECT_TRUE(result.ok()) << (result.ok() ? "" : result.error().message);
  return result ? std::move(*result) : Conversion{};
}

void expect_held(const Conversion& c) {
  for (const PinOutcome& p : c.report.pins) EXPECT_TRUE(p.held) << p.text;
  for (const PinOutcome& p : c.report.pins) EXPECT_EQ(p.distance_px, 0) << p.text;
}

const std::vector<Point> round = support::circle_points({120, 120}, 80, 0.5);

TEST(Pins, ACornerThatWasTakenForARound) {
  // Rounds of 2.5 px: less than 1.1 px of a sharp corner is cut off.
  const Polylines box = {rounded_box({40, 40}, {200, 160}, 6)};
  const Conversion without = fitted(box, plain(3));
  ASSERT_GT(to_corner_px(without.drawing, {200, 40}), 8);
  const Conversion made = fitted(box, with(plain(3), {pin(Kind::corner, {{197, 43}})}));
  EXPECT_LT(to_corner_px(made.drawing, {200, 40}), 3);
  EXPECT_GT(to_corner_px(made.drawing, {200, 160}), 8) << "nobody spoke of the other rounds";
  expect_held(made);
}

TEST(Pins, ACornerThatIsNone) {
  const Polylines roof = {dense_polygon({{40, 140}, {120, 100}, {200, 140}, {200, 200}, {40, 200}})};
  ASSERT_LT(to_corner_px(fitted(roof, plain(2)).drawing, {120, 100}), 1);
  const Conversion made = fitted(roof, with(plain(2), {pin(Kind::no_corner, {{120, 101}})}));
  EXPECT_GT(to_corner_px(made.drawing, {120, 100}), 30);
  EXPECT_LT(to_corner_px(made.drawing, {200, 140}), 1);
  EXPECT_TRUE(made.report.pins.at(0).held) << made.report.pins[0].text;
}

TEST(Pins, ANodeAtAPlace) {
  const Point place = Point{120, 120} + 80 * direction(radians(-38));
  ASSERT_GT(to_node_px(fitted({round}, plain()).drawing, place), 20);
  for (const Pin::Turn turn : {Pin::Turn::any, Pin::Turn::smooth, Pin::Turn::corner}) {
    Pin p = pin(Kind::node, {place});
    p.turn = turn;
    const Conversion made = fitted({round}, with(plain(), {p}));
    EXPECT_LT(to_node_px(made.drawing, place), 1e-3);
    EXPECT_EQ(node_near(made.drawing, place).smooth, turn != Pin::Turn::corner);
    EXPECT_LT(made.report.max_px, 1);
    expect_held(made);
  }
}

TEST(Pins, ANodeAlongAnAxis) {
  // A few degrees beside the top: where nodes may lie anywhere its handles lean as the round does.
  const Point place = Point{120, 120} + 80 * direction(radians(-84));
  Options options = plain(1);
  options.extremes = Options::Extremes::free;
  Pin p = pin(Kind::node, {place});
  const auto off_px = [&](const Conversion& c) {
    const Node node = node_near(c.drawing, place);
    return std::abs(node.handle_before.y - node.at.y) + std::abs(node.handle_after.y - node.at.y);
  };
  ASSERT_GT(off_px(fitted({round}, with(options, {p}))), 1);
  p.along = Pin::Along::level;
  const Conversion made = fitted({round}, with(options, {p}));
  EXPECT_LT(distance(node_near(made.drawing, place).at, place), 1e-3);
  EXPECT_EQ(off_px(made), 0);
  expect_held(made);
}

TEST(Pins, NoNodeThere) {
  ASSERT_LT(to_node_px(fitted({round}, plain()).drawing, {120, 40}), 1);
  Pin p = pin(Kind::no_node, {{120, 40}});
  p.length_px = 15;
  const Conversion made = fitted({round}, with(plain(), {p}));
  EXPECT_GT(to_node_px(made.drawing, {120, 40}), 14.5);
  EXPECT_LT(to_node_px(made.drawing, {120, 200}), 1) << "the other extremes stay";
  EXPECT_TRUE(made.report.pins.at(0).held) << made.report.pins[0].text;
}

// The top of a box bulges by three px over 160.
std::vector<Point> bulging_box() {
  std::vector<Point> out;
  for (int i = 0; i < 320; ++i) {
    const double u = i / 320.0;
    out.push_back({40 + 160 * u, 60 - 12 * u * (1 - u)});
  }
  for (const Point p : dense_polygon({{200, 60}, {200, 160}, {40, 160}, {40, 60}}))
    if (p.x < 40.01 || p.x > 199.99 || p.y > 159.99) out.push_back(p);
  return out;
}

bool has_straight(const Drawing& drawing, Point a, Point b) {
  for (const Outline& o : drawing.outlines)
    for (std::size_t i = 0; i < o.segment_count(); ++i) {
      const Point p = o.segment(i)[0], q = o.segment(i)[3];
      const bool here = (distance(p, a) < 4 && distance(q, b) < 4) || (distance(p, b) < 4 && distance(q, a) < 4);
      if (here && o.is_straight(i)) return true;
    }
  return false;
}

TEST(Pins, AStretchThatIsStraight) {
  const Polylines box = {bulging_box()};
  ASSERT_FALSE(has_straight(fitted(box, plain(1)).drawing, {40, 60}, {200, 60}));
  const Conversion made = fitted(box, with(plain(1), {pin(Kind::straight, {{44, 60}, {196, 60}})}));
  EXPECT_TRUE(has_straight(made.drawing, {40, 60}, {200, 60}));
  EXPECT_TRUE(made.report.pins.at(0).held) << made.report.pins[0].text;
  // It bulges by three px, and one is the most: that is said, with the distance.
  EXPECT_GT(made.report.pins[0].off_line_px, 1);
  EXPECT_LT(made.report.pins[0].off_line_px, 3);
  EXPECT_EQ(made.report.findings.back().what, Finding::What::pin_not_held);
}

TEST(Pins, AStraightThatIsLevelOrVertical) {
  const Polylines leaning = {dense_polygon({{40, 60}, {200, 63}, {203, 160}, {40, 160}})};
  for (const bool level : {true, false}) {
    const std::vector<Point> ends =
        level ? std::vector<Point>{{60, 60.4}, {180, 62.6}} : std::vector<Point>{{200.6, 80}, {202.4, 140}};
    const auto off = [&](const Drawing& d) {
      const Node a = node_near(d, level ? Point{40, 60} : Point{200, 63}),
                 b = node_near(d, level ? Point{200, 63} : Point{203, 160});
      return level ? b.at.y - a.at.y : b.at.x - a.at.x;
    };
    ASSERT_GT(std::abs(off(fitted(leaning, plain(2)).drawing)), 2);
    Pin p = pin(Kind::straight, ends);
    p.along = level ? Pin::Along::level : Pin::Along::vertical;
    const Conversion made = fitted(leaning, with(plain(2), {p}));
    EXPECT_EQ(off(made.drawing), 0);
    expect_held(made);
  }
}

TEST(Pins, NodesThatShareACoordinate) {
  const Polylines rounds = {support::circle_points({100, 100}, 60, 0.5), support::circle_points({101.2, 300}, 60, 0.5)};
  const auto tops = [](const Drawing& d) {
    return std::pair(node_near(d, {100, 40}).at, node_near(d, {101.2, 240}).at);
  };
  const auto [a, b] = tops(fitted(rounds, plain(1)).drawing);
  ASSERT_GT(std::abs(a.x - b.x), 0.5);
  const Conversion x = fitted(rounds, with(plain(1), {pin(Kind::share_x, {{100, 40}, {101.2, 240}})}));
  EXPECT_EQ(tops(x.drawing).first.x, tops(x.drawing).second.x);
  expect_held(x);
  const Polylines row = {rounded_box({40, 40}, {140, 140}, 20), rounded_box({200, 41}, {300, 140}, 20)};
  const auto left = [](const Drawing& d) { return std::pair(node_near(d, {60, 40}).at, node_near(d, {220, 41}).at); };
  ASSERT_GT(std::abs(left(fitted(row, plain(1)).drawing).first.y - left(fitted(row, plain(1)).drawing).second.y), 0.5);
  const Conversion y = fitted(row, with(plain(1), {pin(Kind::share_y, {{60, 40}, {220, 41}})}));
  EXPECT_EQ(left(y.drawing).first.y, left(y.drawing).second.y);
  expect_held(y);
}

TEST(Pins, DistancesThatAreEqual) {
  const Polylines boxes = {dense_polygon({{40, 40}, {90, 40}, {90, 140}, {40, 140}}),
                           dense_polygon({{140, 40}, {191, 40}, {191, 140}, {140, 140}})};
  const auto widths = [](const Drawing& d) {
    return std::pair(node_near(d, {90, 40}).at.x - node_near(d, {40, 40}).at.x,
                     node_near(d, {191, 40}).at.x - node_near(d, {140, 40}).at.x);
  };
  const auto [first, second] = widths(fitted(boxes, plain(1)).drawing);
  ASSERT_GT(std::abs(first - second), 0.5);
  const Conversion made = fitted(boxes, with(plain(1), {pin(Kind::equal, {{40, 40}, {90, 40}, {140, 40}, {191, 40}})}));
  EXPECT_NEAR(widths(made.drawing).first, widths(made.drawing).second, 2e-3);
  EXPECT_LT(made.report.max_px, 1);
  expect_held(made);
}

double from_outline_px(const Drawing& drawing, Point place) {
  double px = 1e9;
  for (const Outline& o : drawing.outlines)
    for (std::size_t i = 0; i < o.segment_count(); ++i)
      for (int k = 0; k <= 400; ++k) px = std::min(px, distance(support::at(o.segment(i), k / 400.0), place));
  return px;
}

TEST(Pins, APlaceThatTheOutlinePassesThrough) {
  const Point place = Point{120, 120} + 80.8 * direction(radians(30));
  ASSERT_GT(from_outline_px(fitted({round}, plain()).drawing, place), 0.5);
  const Conversion made = fitted({round}, with(plain(), {pin(Kind::through, {place})}));
  EXPECT_LT(from_outline_px(made.drawing, place), 0.02);
  expect_held(made);
}

TEST(Pins, WhereAnOutlineStarts) {
  ASSERT_GT(distance(fitted({round}, plain()).drawing.outlines[0].nodes[0].at, {40, 120}), 50);
  const Conversion made = fitted({round}, with(plain(), {pin(Kind::start, {{41, 118}})}));
  EXPECT_LT(distance(made.drawing.outlines[0].nodes[0].at, {40, 120}), 1);
  expect_held(made);
}

TEST(Pins, AToleranceOfItsOwn) {
  const std::vector<Point> wave = [] {
    std::vector<Point> out;
    for (int i = 0; i < 800; ++i) {
      const double t = 2 * pi * i / 800;
      out.push_back({120 + (70 + 3 * std::sin(9 * t)) * std::cos(t), 120 + (70 + 3 * std::sin(9 * t)) * std::sin(t)});
    }
    return out;
  }();
  const Conversion coarse = fitted({wave, round}, plain(4));
  ASSERT_GT(coarse.report.outlines[0].max_px, 1);
  Pin p = pin(Kind::tolerance, {{0, 0}, {240, 0}, {240, 240}, {0, 240}});
  p.length_px = 0.5;
  const Conversion made = fitted({wave}, with(plain(4), {p}));
  EXPECT_LT(made.report.outlines[0].max_px, 0.5);
  EXPECT_GT(made.report.segments, coarse.report.outlines[0].segments);
  expect_held(made);
}

TEST(Pins, OutlinesWithoutOneStayAsTheyAre) {
  const Polylines all = {round, rounded_box({240, 40}, {340, 200}, 20), rounded_box({380, 41}, {481, 200}, 20),
                         support::circle_points({120.6, 320}, 80, 0.5)};
  Options options;  // with all straightening: outlines are tied to one another
  options.tolerance_px = 1.5;
  const Conversion without = fitted(all, options);
  Pin node = pin(Kind::node, {Point{120, 120} + 80.4 * direction(radians(20))});
  for (const Pin& p : {node, pin(Kind::corner, {{240, 40}}), pin(Kind::no_node, {{120, 40}}),
                       pin(Kind::through, {{239.2, 120}}), pin(Kind::start, {{40, 120}})}) {
    const Conversion made = fitted(all, with(options, {p}));
    const int own = made.report.pins.at(0).outline;
    ASSERT_GE(own, 0);
    for (int i = 0; i < 4; ++i) {
      if (i == own) continue;
      const Outline &a = without.drawing.outlines[std::size_t(i)], &b = made.drawing.outlines[std::size_t(i)];
      ASSERT_EQ(a.nodes.size(), b.nodes.size());
      for (std::size_t k = 0; k < a.nodes.size(); ++k)
        EXPECT_TRUE(a.nodes[k].at == b.nodes[k].at && a.nodes[k].handle_before == b.nodes[k].handle_before &&
                    a.nodes[k].handle_after == b.nodes[k].handle_after)
            << name_of(p.kind) << ", outline " << i << ", node " << k;
    }
  }
}

TEST(Pins, NodesElsewhereOnTheOutlineStay) {
  const Polylines box = {rounded_box({40, 40}, {300, 160}, 40)};
  const Conversion without = fitted(box, plain(0.5));
  const Point place = Point{260, 80} + 40 * direction(radians(-45));
  const Conversion made = fitted(box, with(plain(0.5), {pin(Kind::node, {place})}));
  ASSERT_EQ(made.drawing.outlines[0].nodes.size(), without.drawing.outlines[0].nodes.size() + 1);
  std::size_t far = 0, same = 0;
  for (const Node& n : without.drawing.outlines[0].nodes) {
    if (distance(n.at, place) < 80) continue;
    ++far;
    for (const Node& m : made.drawing.outlines[0].nodes)
      same += n.at == m.at && n.handle_before == m.handle_before && n.handle_after == m.handle_after;
  }
  EXPECT_GE(far, 4u);
  EXPECT_EQ(same, far);
}

TEST(Pins, OneThatCannotBeHadIsReportedWithItsDistance) {
  const Conversion far = fitted({round}, with(plain(), {pin(Kind::through, {{120, 46}})}));
  ASSERT_EQ(far.report.pins.size(), 1u);
  EXPECT_FALSE(far.report.pins[0].held);
  EXPECT_NEAR(far.report.pins[0].distance_px, 6, 0.5);
  EXPECT_EQ(far.report.findings.back().what, Finding::What::pin_not_held);
  EXPECT_NE(far.report.findings.back().text.find("Pin 1 (passes through)"), std::string::npos);
  const Conversion nowhere = fitted({round}, with(plain(), {pin(Kind::corner, {{400, 400}})}));
  EXPECT_FALSE(nowhere.report.pins[0].held);
  EXPECT_NEAR(nowhere.report.pins[0].distance_px, distance({400, 400}, {120, 120}) - 80, 1);
  // What cannot be met changes nothing.
  const Conversion without = fitted({round}, plain());
  EXPECT_EQ(far.drawing.outlines[0].nodes.size(), without.drawing.outlines[0].nodes.size());
  const Polylines rounds = {support::circle_points({100, 100}, 60, 0.5), support::circle_points({109, 300}, 60, 0.5)};
  Pin left = pin(Kind::share_x, {{40, 100}, {49, 300}});
  const Conversion apart = fitted(rounds, with(plain(1), {left}));
  EXPECT_FALSE(apart.report.pins[0].held);
  EXPECT_NEAR(apart.report.pins[0].distance_px, 9, 0.5);
}

TEST(Pins, TwoThatContradictOneAnotherAreBothNamed) {
  const auto contradict = [](std::vector<Pin> pins) {
    const Conversion made = fitted({round}, with(plain(), std::move(pins)));
    EXPECT_EQ(made.report.pins.at(0).against, std::vector<std::size_t>{1});
    EXPECT_EQ(made.report.pins.at(1).against, std::vector<std::size_t>{0});
    EXPECT_FALSE(made.report.pins[0].held) << "the later one counts";
    EXPECT_TRUE(made.report.pins[1].held) << made.report.pins[1].text;
    const auto found = std::find_if(made.report.findings.begin(), made.report.findings.end(),
                                    [](const Finding& f) { return f.what == Finding::What::pins_contradict; });
    ASSERT_NE(found, made.report.findings.end());
    EXPECT_NE(found->text.find("Pin 1"), std::string::npos);
    EXPECT_NE(found->text.find("pin 2"), std::string::npos);
  };
  const Point place = Point{120, 120} + 80 * direction(radians(-38));
  contradict({pin(Kind::corner, {place}), pin(Kind::no_corner, {place})});
  contradict({pin(Kind::node, {place}), pin(Kind::no_node, {place})});
  contradict({pin(Kind::through, {Point{120, 120} + 79.4 * direction(radians(-38))}),
              pin(Kind::through, {Point{120, 120} + 80.6 * direction(radians(-38))})});
  contradict({pin(Kind::start, {{40, 120}}), pin(Kind::start, {{120, 40}})});
}

TEST(Pins, PlacesFollowPolylinesAnywhere) {
  std::vector<Point> left = round;
  for (Point& p : left) p = p + Point{-500, -300};
  const Point place = Point{-380, -180} + 80 * direction(radians(-38));
  const Conversion made = fitted({left}, with(plain(), {pin(Kind::node, {place})}));
  EXPECT_LT(to_node_px(made.drawing, place), 1e-3);
  EXPECT_TRUE(made.report.pins[0].place == place);
  expect_held(made);
}

TEST(Pins, OnOpenLines) {
  std::vector<Point> line;
  for (int i = 0; i <= 400; ++i) line.push_back({40 + 0.5 * i, 100 + 30 * std::sin(i / 60.0)});
  const Point place{140, 100 + 30 * std::sin(200 / 60.0)};
  const std::vector<PolylineView> views = {{line, false}};
  const auto without = fit(views, plain());
  ASSERT_GT(to_node_px(without->drawing, place), 3);
  const auto made = fit(views, with(plain(), {pin(Kind::node, {place})}));
  EXPECT_LT(to_node_px(made->drawing, place), 1e-3);
  EXPECT_TRUE(made->drawing.outlines[0].nodes.front().at == line.front());
  expect_held(*made);
}

TEST(Pins, BothFacesOfABorderFollow) {
  support::LineNetwork net;
  const auto border = [](double t) { return Point{300 + 40 * std::sin(2 * pi * t), 200 + 300 * t}; };
  const int shared = net.add_line(border, support::at_junction(0), support::at_junction(1));
  const int left =
      net.add_line(support::arc({300, 350}, 150, pi / 2, 1.5 * pi), support::at_junction(1), support::at_junction(0));
  const int right =
      net.add_line(support::arc({300, 350}, 150, -pi / 2, pi / 2), support::at_junction(0), support::at_junction(1));
  net.loops.areas = {{{{shared, false}, {left, false}}}, {{{right, false}, {shared, true}}}};
  const Point place = border(0.4);
  const auto on = [&](const Conversion& c) {
    int nodes = 0;
    for (const Outline& o : c.drawing.outlines)
      for (const Node& n : o.nodes) nodes += distance(n.at, place) < 1e-3;
    return nodes;
  };
  const auto without = convert(net.located(), plain(1.5));
  ASSERT_EQ(without->drawing.outlines.size(), 2u);
  ASSERT_EQ(on(*without), 0);
  const auto made = convert(net.located(), with(plain(1.5), {pin(Kind::node, {place})}));
  EXPECT_EQ(on(*made), 2);
  expect_held(*made);
}

TEST(Pins, OutOfRangeAreRefused) {
  const auto code = [](Pin p) { return fit(Polylines{round}, with(plain(), {std::move(p)})).error(); };
  EXPECT_EQ(code(pin(Kind::node, {})).code, ErrorCode::bad_option);
  EXPECT_EQ(code(pin(Kind::straight, {{1, 1}})).code, ErrorCode::bad_option);
  EXPECT_EQ(code(pin(Kind::equal, {{1, 1}, {2, 2}})).code, ErrorCode::bad_option);
  EXPECT_EQ(code(pin(Kind::ignore, {{1, 1}, {2, 2}})).code, ErrorCode::bad_option);
  EXPECT_EQ(code(pin(Kind::tolerance, {{1, 1}, {2, 2}, {1, 2}})).code, ErrorCode::bad_option);
  EXPECT_EQ(code(pin(Kind::node, {{std::nan(""), 0}})).code, ErrorCode::bad_option);
  EXPECT_EQ(code(pin(Kind(99), {{0, 0}})).place, "pins 1");
  EXPECT_FALSE(fit(Polylines{round}, with(plain(), std::vector<Pin>(1001, pin(Kind::node, {{1, 1}})))).ok());
}

}  // namespace
}  // namespace batten
