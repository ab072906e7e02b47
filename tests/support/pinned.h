#pragma once
// Drawings with pins, and what the tests of pins look for in them.

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "base/vec.h"
#include "batten/convert.h"

namespace batten::testing {

/// Options without straightening, so that a test shows what the pin does and nothing else.
inline Options plain(double tolerance_px = 1) {
  Options options;
  options.tolerance_px = tolerance_px;
  options.straighten = {false, false, false, false, false};
  return options;
}

inline Options with(Options options, std::vector<Pin> pins) {
  options.pins = std::move(pins);
  return options;
}

inline Pin pin(Pin::Kind kind, std::vector<Point> places) {
  Pin out;
  out.kind = kind, out.places = std::move(places);
  return out;
}

/// The distance from a place to the nearest node of a drawing that `which` likes; 1e9 where there is none.
template <class Which>
double to_node_px(const Drawing& drawing, Point place, Which&& which) {
  double px = 1e9;
  for (const Outline& o : drawing.outlines)
    for (const Node& n : o.nodes)
      if (which(n)) px = std::min(px, distance(n.at, place));
  return px;
}
inline double to_node_px(const Drawing& drawing, Point place) {
  return to_node_px(drawing, place, [](const Node&) { return true; });
}
inline double to_corner_px(const Drawing& drawing, Point place) {
  return to_node_px(drawing, place, [](const Node& n) { return !n.smooth; });
}
inline Node node_near(const Drawing& drawing, Point place) {
  Node best;
  double px = 1e9;
  for (const Outline& o : drawing.outlines)
    for (const Node& n : o.nodes)
      if (distance(n.at, place) < px) px = distance(n.at, place), best = n;
  return best;
}

/// The corners of a box with rounds of that radius, as points a quarter of a px apart or less, clockwise on screen.
inline std::vector<Point> rounded_box(Point low, Point high, double radius) {
  std::vector<Point> out;
  const auto arc = [&](Point centre, double from_deg) {
    const int n = std::max(8, int(radius * pi / 2 / 0.25));
    for (int i = 0; i <= n; ++i) out.push_back(centre + radius * direction(radians(from_deg + 90.0 * i / n)));
  };
  arc({low.x + radius, low.y + radius}, 180);
  arc({high.x - radius, low.y + radius}, 270);
  arc({high.x - radius, high.y - radius}, 0);
  arc({low.x + radius, high.y - radius}, 90);
  // Straights between the rounds, a point each half pixel.
  std::vector<Point> dense;
  for (std::size_t i = 0; i < out.size(); ++i) {
    const Point a = out[i], b = out[(i + 1) % out.size()];
    const int n = std::max(1, int(distance(a, b) / 0.5));
    for (int k = 0; k < n; ++k) dense.push_back(a + (double(k) / n) * (b - a));
  }
  return dense;
}

/// A polygon with a point each half pixel.
inline std::vector<Point> dense_polygon(const std::vector<Point>& corners) {
  std::vector<Point> out;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const Point a = corners[i], b = corners[(i + 1) % corners.size()];
    const int n = std::max(1, int(distance(a, b) / 0.5));
    for (int k = 0; k < n; ++k) out.push_back(a + (double(k) / n) * (b - a));
  }
  return out;
}

}  // namespace batten::testing
