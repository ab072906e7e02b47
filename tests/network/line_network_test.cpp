#include "network/line_network.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"
#include "network/faces.h"
#include "network/strokes.h"

namespace batten {
namespace {

// A square with one diagonal.
struct Square {
  LineNetwork net;
  Square() {
    const std::vector<Point> at{{0, 0}, {100, 0}, {100, 100}, {0, 100}};
    for (const Point p : at) net.add_node(p);
    for (int i = 0; i < 4; ++i) net.add_edge(i, (i + 1) % 4, straight_path(at[i], at[(i + 1) % 4]));
    net.add_edge(0, 2, straight_path(at[0], at[2]));
  }
};

TEST(LineNetwork, HalfEdgesOfAnEdgeRunBothWays) {
  const Square s;
  for (const HalfEdge h : {0, 5, 8}) {
    EXPECT_EQ(s.net.source(h), s.net.target(twin_of(h)));
    EXPECT_EQ(s.net.along(h).front(), s.net.nodes[s.net.source(h)].at);
    EXPECT_EQ(s.net.along(h).back(), s.net.nodes[s.net.target(h)].at);
  }
}

TEST(LineNetwork, SplittingAndJoiningGiveTheEdgeBack) {
  Square s;
  const Polyline before = s.net.edges[4].points;
  const int node = s.net.split(4, 50);
  EXPECT_EQ(s.net.degree(node), 2);
  EXPECT_EQ(s.net.living().size(), 6u);
  s.net.join_pairs();
  EXPECT_EQ(s.net.degree(node), 0);
  // The corners at (100, 0) and (0, 100) are joined as well: two edges meet there.
  ASSERT_EQ(s.net.living().size(), 3u);
  bool found = false;
  for (const int e : s.net.living()) {
    Polyline points = s.net.edges[e].points;
    found |= points == before || Polyline(points.rbegin(), points.rend()) == before;
  }
  EXPECT_TRUE(found);
}

TEST(Faces, ASquareWithADiagonalHasTwoTrianglesAndARim) {
  const Square s;
  const Faces faces = find_faces(s.net, 4);
  ASSERT_EQ(faces.cycles.size(), 3u);
  int triangles = 0;
  for (const Cycle& cycle : faces.cycles) {
    const double area_px2 = signed_area_px2(polygon_of(s.net, cycle));
    const bool rim = area_px2 > 0;
    EXPECT_NEAR(area_px2, rim ? 10000 : -5000, 1e-6);
    triangles += !rim;
  }
  EXPECT_EQ(triangles, 2);
}

TEST(Faces, ATailIsABridge) {
  Square s;
  const int end = s.net.add_node({200, 100});
  const int tail = s.net.add_edge(2, end, straight_path({100, 100}, {200, 100}));
  const Faces faces = find_faces(s.net, 4);
  for (const int e : s.net.living()) EXPECT_EQ(faces.is_bridge[e] != 0, e == tail);
  EXPECT_EQ(faces.cycles.size(), 3u);
}

TEST(Strokes, OnlyWhatGoesStraightOnIsOneStroke) {
  LineNetwork net;
  const int middle = net.add_node({100, 100});
  const std::vector<Point> far{{0, 100}, {200, 110}, {100, 0}, {160, 200}};
  for (const Point p : far) {
    const int node = net.add_node(p);
    net.add_edge(middle, node, straight_path({100, 100}, p));
  }
  const Strokes strokes = find_strokes(net, 4);
  EXPECT_EQ(strokes.after(1), 2) << "left to right, bent by 6 degrees";
  EXPECT_EQ(strokes.after(3), 0);
  EXPECT_EQ(strokes.after(5), 6) << "from above on to below right, bent by 31 degrees";
  EXPECT_EQ(strokes.after(7), 4);
}

}  // namespace
}  // namespace batten
