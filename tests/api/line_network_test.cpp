// Networks of open lines through the curve half: ends that meet, ends on curves, areas that share borders.
#include "support/line_network.h"

#include <gtest/gtest.h>

#include <numbers>

#include "base/cubic.h"
#include "batten/measure.h"

namespace batten {
namespace {

using support::arc;
using support::at_junction;
using support::LineNetwork;
using support::on_curve;
using support::straight;

Conversion converted(const LineNetwork& net, Options::Output output = Options::Output::both, double grid_px = 0) {
  Options options;
  options.tolerance_px = 1.5;
  options.output = output;
  options.grid_px = grid_px;
  auto result = convert(net.located(), options);
  EXPECT_TRUE(result.ok()) << (result.ok() ? "" : result.error().message);
  return result ? std::move(*result) : Conversion{};
}

double distance_to(const Outline& o, Point p) {
  double least = 1e300;
  for (std::size_t i = 0; i < o.segment_count(); ++i) {
    const Cubic c = o.segment(i);
    least = std::min(least, distance(p, evaluate(c, FootFinder(c).foot(p).t)));
  }
  return least;
}

// The borders of four fields are drawn once: each place at which fields meet is the same in all of them, and what was
// ruled by hand is level and vertical right through the table.
TEST(LineNetwork, FieldsOfATableShareTheirBordersExactly) {
  for (const double grid_px : {0.0, 0.5}) {
    const Conversion c = converted(support::table(2, 0.5), Options::Output::both, grid_px);
    ASSERT_EQ(c.drawing.outlines.size(), 4u);
    std::vector<double> xs, ys;
    for (const Outline& o : c.drawing.outlines) {
      EXPECT_TRUE(o.closed);
      EXPECT_EQ(o.parent, -1);
      EXPECT_EQ(o.nodes.size(), 4u);
      EXPECT_GT(signed_area_px2(o), 0);  // clockwise
      for (const Node& n : o.nodes) xs.push_back(n.at.x), ys.push_back(n.at.y);
    }
    for (std::vector<double>* v : {&xs, &ys}) {
      std::sort(v->begin(), v->end());
      v->erase(std::unique(v->begin(), v->end()), v->end());
      EXPECT_EQ(v->size(), 3u);
      for (std::size_t i = 0; i < v->size(); ++i) EXPECT_NEAR((*v)[i], 100 + 200. * double(i), 1.5);
    }
    EXPECT_EQ(c.report.outlines.size(), 4u);
    EXPECT_EQ(c.report.segments, 16u);
    EXPECT_LE(c.report.max_px, 1.5 + 0.5 * grid_px);
  }
}

TEST(LineNetwork, LinesAreDeliveredOnceWhereOnlyLinesAreAskedFor) {
  LineNetwork net = support::table(2, 0.5);
  net.add_closed(arc({800, 300}, 90, 0, 2 * std::numbers::pi));
  net.add_line(straight({700, 600}, {900, 640}));
  const Conversion both = converted(net), lines = converted(net, Options::Output::lines),
                   outlines = converted(net, Options::Output::outlines);
  EXPECT_EQ(lines.drawing.outlines.size(), 13u);
  for (const Outline& o : lines.drawing.outlines) EXPECT_FALSE(o.closed);
  EXPECT_EQ(outlines.drawing.outlines.size(), 5u);
  for (const Outline& o : outlines.drawing.outlines) EXPECT_TRUE(o.closed);
  ASSERT_EQ(both.drawing.outlines.size(), 6u);
  EXPECT_EQ(both.drawing.outlines[0].kind, Kind::outlined);  // closed outlines, areas, lines
  EXPECT_TRUE(both.drawing.outlines[4].closed);
  EXPECT_EQ(both.drawing.outlines[5].kind, Kind::line);
  for (const Conversion* c : {&both, &lines, &outlines}) {
    EXPECT_EQ(c->report.outlines.size(), c->drawing.outlines.size());
    for (const Edit& e : c->report.edits)
      for (const Edit::Where& w : e.nodes) {
        ASSERT_LT(std::size_t(w.outline), c->drawing.outlines.size());
        EXPECT_LT(std::size_t(w.node), c->drawing.outlines[std::size_t(w.outline)].nodes.size());
      }
  }
}

// A border of two curves between two areas: nodes and handles are bit for bit the same, one way and the other.
TEST(LineNetwork, NeighboursHaveTheSameNodesAndHandles) {
  LineNetwork net;
  const Point top{300, 200}, bottom{300, 500};
  const int shared = net.add_line(
      [&](double t) {
        return Point{300 + 40 * std::sin(2 * std::numbers::pi * t), 200 + 300 * t};
      },
      at_junction(0), at_junction(1));
  const int left =
      net.add_line(arc({300, 350}, 150, std::numbers::pi / 2, 1.5 * std::numbers::pi), at_junction(1), at_junction(0));
  const int right =
      net.add_line(arc({300, 350}, 150, -std::numbers::pi / 2, std::numbers::pi / 2), at_junction(0), at_junction(1));
  net.loops.areas = {{{{shared, false}, {left, false}}}, {{{right, false}, {shared, true}}}};
  const Conversion c = converted(net);
  ASSERT_EQ(c.drawing.outlines.size(), 2u);
  const auto same = [](const Node& a, const Node& b) {
    return a.at == b.at && ((a.handle_before == b.handle_after && a.handle_after == b.handle_before) ||
                            (a.handle_before == b.handle_before && a.handle_after == b.handle_after));
  };
  std::size_t inner = 0;
  for (const Node& a : c.drawing.outlines[0].nodes)
    for (const Node& b : c.drawing.outlines[1].nodes) inner += same(a, b);
  EXPECT_GE(inner, 2u);  // its extremes; the ends have other neighbours
  for (const Outline& o : c.drawing.outlines) {
    EXPECT_EQ(o.parent, -1);
    EXPECT_GT(signed_area_px2(o), 0);
    for (const Point end : {top, bottom}) EXPECT_LT(distance_to(o, end), 1.5);
  }
  EXPECT_NEAR(signed_area_px2(c.drawing.outlines[0]) + signed_area_px2(c.drawing.outlines[1]),
              std::numbers::pi * 150 * 150, 600);
}

TEST(LineNetwork, EndsOnCurvesLieOnThem) {
  LineNetwork net;
  const int line = net.add_line(straight({100, 100}, {300, 180}), {}, on_curve(1));  // before the curve that it ends on
  net.add_line(straight({300, 50}, {306, 400}));
  const int circle = net.add_closed(arc({600, 400}, 150, 0, 2 * std::numbers::pi));
  net.add_line(straight({306, 300}, {450.5, 400}), on_curve(line + 1), on_curve(circle));
  const Point on_it = Point{600, 400} + 150.0 * direction(0.9);
  net.add_line(
      [&](double t) {
        return (1 - t) * Point{900, 700} + t * on_it + 40 * t * (1 - t) * Point{1, -1};
      },
      {}, on_curve(circle));
  // A six: it ends on itself.
  const int six = net.add_line(
      [](double t) {
        if (t < 0.3) return Point{200, 900 - 200 * (0.3 - t) / 0.3 - 60};
        const double a = (t - 0.3) / 0.7 * 2 * std::numbers::pi;
        return Point{260 - 60 * std::cos(a), 840 + 60 * std::sin(a)};
      },
      {}, on_curve(5));
  ASSERT_EQ(six, 5);
  const Conversion c = converted(net);
  ASSERT_EQ(c.drawing.outlines.size(), 6u);  // the circle comes first
  const std::vector<Outline>& o = c.drawing.outlines;
  constexpr double exactly_px = 0.001;  // as files are written
  EXPECT_LT(distance_to(o[2], o[1].nodes.back().at), exactly_px);
  EXPECT_LT(distance_to(o[2], o[3].nodes.front().at), exactly_px);
  EXPECT_LT(distance_to(o[0], o[3].nodes.back().at), exactly_px);
  EXPECT_LT(distance_to(o[0], o[4].nodes.back().at), exactly_px);
  Outline without_its_end = o[5];
  without_its_end.nodes.pop_back();
  EXPECT_LT(distance_to(without_its_end, o[5].nodes.back().at), exactly_px);
  for (std::size_t i = 1; i < o.size(); ++i) EXPECT_FALSE(o[i].closed);
  EXPECT_LE(c.report.max_px, 1.5);
}

// A stroke of which a branch leaves is two lines, but keeps its direction; the branch ends at the very same place.
TEST(LineNetwork, AStrokeRunsOnThroughAJunction) {
  LineNetwork net;
  const int a = net.add_line(arc({400, 400}, 200, 0.2, 1.3), {}, at_junction(4));
  const int b = net.add_line(arc({400, 400}, 200, 1.3, 2.9), at_junction(4));
  net.add_line(straight(Point{400, 400} + 200.0 * direction(1.3), {480, 760}), at_junction(4));
  net.loops.runs_on = {{a, true, b, false}};
  const Conversion c = converted(net);
  const Node &end = c.drawing.outlines[0].nodes.back(), &start = c.drawing.outlines[1].nodes.front();
  EXPECT_EQ(end.at, start.at);
  EXPECT_EQ(end.at, c.drawing.outlines[2].nodes.front().at);
  EXPECT_LT(std::abs(degrees(turn_between(end.at - end.handle_before, start.handle_after - start.at))), 1e-6);
  EXPECT_NEAR(degrees(angle_of(start.handle_after - start.at)), degrees(1.3) + 90, 6);
  EXPECT_LE(c.report.max_px, 1.5);
}

TEST(LineNetwork, StraightPiecesOfOneSlantedStrokeLieOnOneLine) {
  LineNetwork net;
  const Point from{100, 100}, to{700, 500}, at = 0.4 * from + 0.6 * to;
  const int a = net.add_line(straight(from, at + Point{0.5, -0.6}), {}, at_junction(0));
  const int b = net.add_line(straight(at + Point{-0.4, 0.3}, to), at_junction(0));
  net.add_line(straight(at, {350, 800}), at_junction(0));
  net.loops.runs_on = {{a, true, b, false}};
  const std::vector<Outline> o = converted(net).drawing.outlines;
  ASSERT_TRUE(o[0].is_straight(0) && o[1].is_straight(0));
  EXPECT_LT(std::abs(degrees(turn_between(o[0].nodes[1].at - o[0].nodes[0].at, o[1].nodes[1].at - o[1].nodes[0].at))),
            1e-6);
}

TEST(LineNetwork, LinesOfAPencilTakeFewSegments) {
  LineNetwork net(0.4, 10);
  for (int k = 0; k < 8; ++k) net.add_line(straight({100, 100. + 40 * k}, {500, 130. + 60 * k}));
  for (int k = 0; k < 4; ++k) net.add_line(arc({700, 600}, 100. + 50 * k, 3.3, 4.6));
  const Conversion c = converted(net);
  std::size_t straights = 0;
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_EQ(c.drawing.outlines[i].segment_count(), 1u) << i;
    straights += c.drawing.outlines[i].is_straight(0);
  }
  EXPECT_GE(straights, 7u);
  std::size_t in_arcs = 0;  // one each would do; a run of the noise may pass for a straight
  for (std::size_t i = 8; i < 12; ++i) in_arcs += c.drawing.outlines[i].segment_count();
  EXPECT_LE(in_arcs, 8u);
  EXPECT_LE(c.report.max_px, 1.5);
}

TEST(LineNetwork, OddNetworksComeThrough) {
  LineNetwork net;
  net.add_line(straight({10, 10}, {30, 14}));  // hardly longer than wide
  net.add_line(arc({200, 200}, 60, 0.3, 0.3 + 2 * std::numbers::pi), at_junction(1),
               at_junction(1));                                                         // ends where it began
  net.add_line(straight({400, 400}, {500, 400}), on_curve(99), at_junction(1));         // names what there is not
  net.add_line(straight({600, 100}, {700, 180}), on_curve(3));                          // on nothing but itself
  net.loops.areas = {{{{1, false}}}, {{{0, false}, {3, false}}}, {{{77, false}}}, {}};  // one closes, three do not
  net.loops.runs_on = {{0, true, 99, false}, {1, true, 1, false}};
  const Conversion c = converted(net);
  ASSERT_EQ(c.drawing.outlines.size(), 4u);
  EXPECT_TRUE(c.drawing.outlines[0].closed);
  EXPECT_NEAR(std::abs(signed_area_px2(c.drawing.outlines[0])), std::numbers::pi * 60 * 60, 800);
}

TEST(LineNetwork, TheSameForAnyNumberOfThreads) {
  const LineNetwork net = support::table(3, 0.6);
  Options one, two;
  two.threads = 2;
  const auto a = convert(net.located(), one), b = convert(net.located(), two);
  ASSERT_TRUE(a.ok() && b.ok());
  ASSERT_EQ(a->drawing.outlines.size(), b->drawing.outlines.size());
  for (std::size_t i = 0; i < a->drawing.outlines.size(); ++i)
    for (std::size_t k = 0; k < a->drawing.outlines[i].nodes.size(); ++k)
      EXPECT_EQ(a->drawing.outlines[i].nodes[k].at, b->drawing.outlines[i].nodes[k].at);
}

}  // namespace
}  // namespace batten
