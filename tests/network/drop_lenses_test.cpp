#include "network/drop_lenses.h"

#include <gtest/gtest.h>

#include "../support/drawn_lines.h"

namespace batten {
namespace {

constexpr double width_px = 8;

// Half an ellipse from (x0, y) to (x1, y) that bulges by `bulge_px`, upwards where that is negative.
Polyline bow(double x0, double x1, double y, double bulge_px) {
  Polyline out;
  for (int i = 0; i <= 40; ++i) {
    const double angle = pi * i / 40;
    out.push_back({(x0 + x1) / 2 - (x1 - x0) / 2 * std::cos(angle), y + bulge_px * std::sin(angle)});
  }
  return out;
}

Plane<float> even_ink(float value) {
  Plane<float> out(300, 200);
  std::fill(out.values.begin(), out.values.end(), value);
  return out;
}

TEST(DropLenses, TwoStrokesOfOneLineThatPartForAMomentBecomeOne) {
  LineNetwork net;
  const int a = net.add_node({20, 100}), b = net.add_node({120, 100}), c = net.add_node({144, 100}),
            d = net.add_node({260, 100});
  net.add_edge(a, b, straight_path({20, 100}, {120, 100}));
  net.add_edge(b, c, bow(120, 144, 100, 4));
  net.add_edge(b, c, bow(120, 144, 100, -1));
  net.add_edge(c, d, straight_path({144, 100}, {260, 100}));
  drop_lenses(even_ink(0.5f), width_px, &net);
  ASSERT_EQ(net.living().size(), 1u) << "one line from end to end";
  EXPECT_NEAR(net.length_px(net.living().front()), 240, 10);
}

TEST(DropLenses, ALoopOfWritingWithAHoleStays) {
  LineNetwork net;
  const int a = net.add_node({20, 100}), b = net.add_node({120, 100}), c = net.add_node({136, 100});
  net.add_edge(a, b, straight_path({20, 100}, {120, 100}));
  net.add_edge(b, c, bow(120, 136, 100, 8));
  net.add_edge(b, c, bow(120, 136, 100, -8));
  drop_lenses(even_ink(0.5f), width_px, &net);
  EXPECT_EQ(net.living().size(), 2u) << "the stroke and the loop at its end";
}

TEST(DropLenses, WhatLandsOnOneSideOfALensKeepsItsPlace) {
  // A line splits at b and meets again at c; a third one lands on the lower side.
  LineNetwork net;
  const int a = net.add_node({20, 100}), b = net.add_node({120, 100}), c = net.add_node({160, 100}),
            d = net.add_node({260, 100}), on = net.add_node({140, 103}), far = net.add_node({140, 190});
  net.add_edge(a, b, straight_path({20, 100}, {120, 100}));
  net.add_edge(c, d, straight_path({160, 100}, {260, 100}));
  net.add_edge(b, c, bow(120, 160, 100, -2));
  net.add_edge(b, on, straight_path({120, 100}, {140, 103}));
  net.add_edge(on, c, straight_path({140, 103}, {160, 100}));
  net.add_edge(on, far, straight_path({140, 103}, {140, 190}));
  drop_lenses(even_ink(0.5f), width_px, &net);
  EXPECT_EQ(net.living().size(), 3u);
  EXPECT_EQ(net.degree(on), 3) << "all three lines meet where the third one landed";
}

}  // namespace
}  // namespace batten
