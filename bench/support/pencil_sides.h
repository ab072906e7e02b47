#pragma once
// The sides of an outline that a hand draws in one go, and places along them.

#include <cmath>
#include <utility>
#include <vector>

#include "support/shapes.h"

namespace batten::support {

inline double length(Point a) { return std::hypot(a.x, a.y); }
inline Point unit(Point a) { return length(a) > 0 ? (1 / length(a)) * a : Point{}; }

constexpr double side_step_px = 0.5;
struct Side {
  Polyline points;  ///< side_step_px apart
  bool closed = false;
};

/// An outline cut at its corners of more than 25 degrees, where a hand lifts or turns; it draws through smaller ones.
std::vector<Side> sides_of(const Outline& outline);

/// Point and direction at arc position s_px of a side; beyond an open end straight on.
std::pair<Point, Point> along(const Side& side, double s_px);

double length_of(const Side& side);

}  // namespace batten::support
