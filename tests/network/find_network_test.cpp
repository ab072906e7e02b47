#include "network/find_network.h"

#include <gtest/gtest.h>

#include <set>

#include "../support/drawn_lines.h"
#include "network/line_paths.h"
#include "network/locate_lines.h"
#include "network/network_loops.h"

namespace batten {
namespace {

struct Found {
  Network network;
  LinePaths paths;
  NetworkLoops loops;
  int junctions = 0, ends = 0, closed = 0, open = 0;
};

Found found(const std::vector<Polyline>& drawn, double grain) {
  const Ink ink = ink_of_lines({.grain = grain}, drawn);
  const Job job;
  const Progress progress(job, Stage::locate, 0, 1);
  const Result<LineMask> mask = find_lines(ink, {}, 2, progress);
  Found out{*find_network(*mask, progress), {}, {}};
  out.paths = line_paths(*mask, out.network);
  locate_lines(ink, {}, 1, &out.paths);
  out.loops = network_loops(out.paths, out.network.strokes, 0);
  const LineNetwork& net = out.network.lines;
  for (std::size_t n = 0; n < net.nodes.size(); ++n)
    out.ends += net.degree(int(n)) == 1, out.junctions += net.degree(int(n)) > 2;
  for (const Loop& loop : out.loops.loops) (loop.open ? out.open : out.closed) += 1;
  return out;
}

// Clean, and with the grain of pencil on paper (5 % of black on paper, 10 % in the line).
class FindNetwork : public testing::TestWithParam<double> {};

TEST_P(FindNetwork, ATHasABarThatRunsThroughAndAStemThatEndsOnIt) {
  const Found f = found({{{60, 100}, {340, 100}}, {{200, 100}, {200, 250}}}, GetParam());
  EXPECT_EQ(f.junctions, 1);
  EXPECT_EQ(f.ends, 3);
  EXPECT_EQ(f.network.lines.living().size(), 3u);
  ASSERT_EQ(f.loops.loops.size(), 2u) << "bar and stem";
  int on_the_other = 0;
  for (const Loop& loop : f.loops.loops) {
    const bool level = std::abs(loop.points.front().y - loop.points.back().y) < 5;
    for (const LineEnd& end : {loop.start, loop.end}) {
      if (level) {
        EXPECT_EQ(end.on_loop, -1);
      }
      on_the_other += end.on_loop >= 0;
    }
  }
  EXPECT_EQ(on_the_other, 1) << "one end of the stem lies on the bar";
}

TEST_P(FindNetwork, AnXIsTwoStrokesAndOneJunction) {
  const Found f = found({{{80, 60}, {320, 240}}, {{80, 240}, {320, 60}}}, GetParam());
  EXPECT_EQ(f.junctions, 1);
  EXPECT_EQ(f.ends, 4);
  EXPECT_EQ(f.loops.loops.size(), 2u);
  EXPECT_EQ(f.open, 2);
}

TEST_P(FindNetwork, TheThreeArmsOfAYEndAtOnePlace) {
  const Found f = found({{{200, 150}, {200, 270}}, {{200, 150}, {100, 80}}, {{200, 150}, {300, 80}}}, GetParam());
  EXPECT_EQ(f.junctions, 1);
  EXPECT_EQ(f.ends, 3);
  ASSERT_EQ(f.loops.loops.size(), 3u);
  for (const Loop& loop : f.loops.loops) EXPECT_TRUE(loop.start.junction >= 0 || loop.end.junction >= 0);
}

TEST_P(FindNetwork, AnLIsOneLine) {
  const Found f = found({{{80, 60}, {80, 240}, {300, 240}}}, GetParam());
  EXPECT_EQ(f.junctions, 0);
  EXPECT_EQ(f.open, 1);
  EXPECT_EQ(f.closed, 0);
}

TEST_P(FindNetwork, ALineThatEndsOnAShapeLeavesTheShapeWhole) {
  const Found f = found({box_path({60, 60}, {200, 220}), {{200, 140}, {360, 140}}}, GetParam());
  EXPECT_EQ(f.network.shapes.size(), 1u);
  EXPECT_EQ(f.closed, 1);
  ASSERT_EQ(f.open, 1);
  const Loop& line = f.loops.loops[1];
  EXPECT_TRUE(line.start.on_loop == 0 || line.end.on_loop == 0);
  EXPECT_TRUE(f.loops.areas.empty());
}

// The two borders of which neighbours share one, and which way round they take it.
void expect_one_shared_edge(const NetworkLoops& loops, const Area& a, const Area& b) {
  int shared = 0;
  for (const Area::Part& p : a.parts)
    for (const Area::Part& q : b.parts) {
      shared += p.loop == q.loop;
      if (p.loop == q.loop) {
        EXPECT_NE(p.reversed, q.reversed) << loops.loops.size();
      }
    }
  EXPECT_EQ(shared, 1);
}

TEST_P(FindNetwork, TwoShapesShareTheEdgeBetweenThem) {
  const Found f = found({box_path({60, 60}, {200, 220}), {{200, 90}, {340, 90}, {340, 190}, {200, 190}}}, GetParam());
  EXPECT_EQ(f.network.shapes.size(), 2u);
  ASSERT_EQ(f.loops.areas.size(), 2u);
  EXPECT_EQ(f.loops.loops.size(), 3u) << "two outer borders and the one between";
  expect_one_shared_edge(f.loops, f.loops.areas[0], f.loops.areas[1]);
  EXPECT_EQ(f.loops.runs_on.size(), 2u) << "the side of the larger one runs on above and below";
}

TEST_P(FindNetwork, ADividedBoxIsTheBoxAndItsTwoParts) {
  const Found f = found({box_path({60, 60}, {340, 220}), {{200, 60}, {200, 220}}}, GetParam());
  EXPECT_EQ(f.network.shapes.size(), 3u);
  EXPECT_EQ(f.loops.areas.size(), 3u);
  EXPECT_EQ(f.loops.loops.size(), 3u) << "what left and right part share, and what either shares with the box";
  EXPECT_EQ(f.loops.runs_on.size(), 2u) << "top and bottom edges run on past the line between";
}

TEST_P(FindNetwork, ThreeShapesInARowShareTwoEdges) {
  const Found f = found({box_path({40, 60}, {360, 220}), {{150, 60}, {150, 220}}, {{250, 60}, {250, 220}}}, GetParam());
  EXPECT_EQ(f.junctions, 4);
  // The whole frame is drawn as well: it is the shape that stays on its strokes, and the three cells are within it.
  EXPECT_GE(f.network.shapes.size(), 3u);
}

TEST_P(FindNetwork, ATangentDoesNotOpenTheCircle) {
  const Found f = found({circle_path({200, 160}, 70), {{60, 90}, {340, 90}}}, GetParam());
  EXPECT_EQ(f.closed, 1);
  EXPECT_GE(f.open, 1);
  EXPECT_LE(f.open, 2);
}

TEST_P(FindNetwork, ConcentricCirclesAreTwoShapes) {
  const Found f = found({circle_path({200, 150}, 100), circle_path({200, 150}, 60)}, GetParam());
  EXPECT_EQ(f.closed, 2);
  EXPECT_EQ(f.open, 0);
  EXPECT_EQ(f.junctions, 0);
}

TEST_P(FindNetwork, DashesStayDashes) {
  std::vector<Polyline> dashes;
  for (int i = 0; i < 6; ++i) dashes.push_back({{40. + 55 * i, 150}, {70. + 55 * i, 150}});
  const Found f = found(dashes, GetParam());
  EXPECT_EQ(f.open, 6);
}

TEST_P(FindNetwork, AnArrowHeadIsTwoLinesAtTheEndOfAThird) {
  const Found f = found({{{60, 150}, {320, 150}}, {{285, 125}, {320, 150}, {285, 175}}}, GetParam());
  EXPECT_EQ(f.junctions, 1);
  EXPECT_EQ(f.ends, 3);
  EXPECT_EQ(f.loops.loops.size(), 3u);
}

TEST_P(FindNetwork, AGapOfTwoWidthsIsClosed) {
  const Found f = found({{{60, 60}, {340, 60}, {340, 240}, {60, 240}, {60, 100}}, {{60, 90}, {60, 60}}}, GetParam());
  EXPECT_EQ(f.network.gaps_closed, 1);
  EXPECT_EQ(f.closed, 1);
}

TEST_P(FindNetwork, LocatedLinesLieWithinATenthOfAPixelOfTheDrawnOnes) {
  const Found f = found({{{60, 100.3}, {340, 100.3}}, circle_path({200, 200.2}, 60)}, GetParam());
  ASSERT_EQ(f.loops.loops.size(), 2u);
  const double allowed_px = GetParam() > 0 ? 0.25 : 0.1;  // the grain moves the middle of a line of 5 px
  for (const Loop& loop : f.loops.loops)
    for (const Point p : loop.points) {
      // Page coordinates begin half a pixel before the grid's.
      const double off = loop.open ? p.y - 100.8 : distance(p, {200.5, 200.7}) - 60;
      EXPECT_LT(std::abs(off), allowed_px) << p.x << ' ' << p.y;
    }
}

TEST_P(FindNetwork, EulersFormulaHolds) {
  const Found f = found({box_path({40, 40}, {360, 260}),
                         {{40, 150}, {360, 150}},
                         {{200, 40}, {200, 260}},
                         circle_path({120, 90}, 25),
                         {{250, 200}, {320, 230}}},
                        GetParam());
  // Nodes - edges + faces = 1 + components (Euler 1758), bridges and their ends left out.
  const LineNetwork& net = f.network.lines;
  int edges = 0;
  std::set<int> nodes;
  for (const int e : net.living())
    if (!f.network.faces.is_bridge[e]) ++edges, nodes.insert(net.edges[e].from), nodes.insert(net.edges[e].to);
  const int components = 2;  // the divided box, the circle
  // Each component has an outer border of its own; the plane outside is one face.
  const int faces = int(f.network.faces.cycles.size()) - components + 1;
  EXPECT_EQ(int(nodes.size()) - edges + faces, 1 + components);
}

INSTANTIATE_TEST_SUITE_P(Drawings, FindNetwork, testing::Values(0., 0.05));

}  // namespace
}  // namespace batten
