#pragma once
// Ink of lines of one width along given paths, with the grain of paper and graphite if wanted.

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "base/polyline.h"
#include "ink/separate_ink.h"

namespace batten {

struct DrawnLines {
  int width = 400, height = 300;
  double line_px = 5;
  double darkness = 0.6;
  double grain = 0;  ///< standard deviation of the ink, everywhere; twice that on the line
};

inline double distance_to_segment(Point p, Point a, Point b) {
  const Point d = b - a;
  const double t = norm2(d) > 0 ? std::clamp(dot(p - a, d) / norm2(d), 0., 1.) : 0;
  return distance(p, a + t * d);
}

/// Each path is open; repeat its first point at its end to close it.
inline Ink ink_of_lines(const DrawnLines& s, const std::vector<Polyline>& paths) {
  Ink out{Plane<float>(s.width, s.height), std::max(0.004, s.grain)};
  for (const Polyline& path : paths)
    for (std::size_t i = 1; i < path.size(); ++i) {
      const Point a = path[i - 1], b = path[i];
      const int x0 = std::max(0, int(std::min(a.x, b.x) - s.line_px)),
                y0 = std::max(0, int(std::min(a.y, b.y) - s.line_px));
      const int x1 = std::min(s.width - 1, int(std::max(a.x, b.x) + s.line_px));
      const int y1 = std::min(s.height - 1, int(std::max(a.y, b.y) + s.line_px));
      for (int y = y0; y <= y1; ++y)
        for (int x = x0; x <= x1; ++x) {
          const double inside = s.line_px / 2 + 0.5 - distance_to_segment({double(x), double(y)}, a, b);
          out.ink.at(x, y) = std::max(out.ink.at(x, y), float(s.darkness * std::clamp(inside, 0., 1.)));
        }
    }
  std::mt19937 random(7);
  std::normal_distribution<float> normal(0, 1);
  if (s.grain > 0)
    for (float& v : out.ink.values) v += float(s.grain) * (v > 0.1f ? 2 : 1) * normal(random);
  return out;
}

/// Points a pixel apart from a to b, both included.
inline Polyline straight_path(Point a, Point b) {
  const int steps = int(distance(a, b));
  Polyline out;
  for (int i = 0; i <= steps; ++i) out.push_back(a + (double(i) / steps) * (b - a));
  return out;
}

inline Polyline circle_path(Point centre, double radius_px) {
  Polyline out;
  for (int i = 0; i <= 90; ++i) out.push_back(centre + radius_px * direction(2 * pi * (i % 90) / 90));
  return out;
}

inline Polyline box_path(Point low, Point high) { return {low, {high.x, low.y}, high, {low.x, high.y}, low}; }

}  // namespace batten
