#pragma once
// Closed chains of dense points, by which outlines and polylines are measured. Standard headers only.

#include <cmath>
#include <limits>
#include <span>
#include <utility>
#include <vector>

#include "batten/measure.h"

namespace batten {

inline double squared_length(Point a) { return a.x * a.x + a.y * a.y; }

/// Holds a run of edges of a chain.
struct EdgeBox {
  double left = std::numeric_limits<double>::infinity(), top = left, right = -left, bottom = -left;
  void add(Point p);
  double squared_to(Point p) const;
};

/// A closed chain of points: edge i runs from point i to point i + 1, the last edge back to point 0.
struct Chain {
  std::vector<Point> points;
  std::vector<double> at_px;        ///< arc position of each point; one more entry: the whole length
  std::vector<EdgeBox> boxes;       ///< of eight edges each
  std::vector<EdgeBox> big_boxes;   ///< of 64 edges each
  std::vector<EdgeBox> huge_boxes;  ///< of 512 edges each

  static constexpr std::size_t edges_per_box = 8;
  explicit Chain(std::vector<Point> closed);
  std::size_t size() const { return points.size(); }
  double length_px() const { return at_px.back(); }
  Point next(std::size_t i) const { return points[i + 1 == points.size() ? 0 : i + 1]; }
};

/// Number of equal steps of the parameter that keep neighbours within step_px; at least 1.
double steps_of(const Outline& outline, std::size_t segment, double step_px);
/// The points of a segment at the parameters k / steps, its end left out.
void append_segment(const Outline& outline, std::size_t segment, double steps, std::vector<Point>* points);
/// Of a closed polygon; positive where it runs clockwise on screen, with y downwards.
double signed_area(std::span<const Point> polygon);
/// An open line as a ring: from its start to its end and the same way back.
std::vector<Point> there_and_back(std::span<const Point> line);
/// The outline in points at most step_px apart; an open line there and back.
std::vector<Point> sample(const Outline& outline, double step_px);
/// The polyline itself, its edges cut so that samples are at most step_px apart.
std::vector<Point> sample(std::span<const Point> polyline, double step_px);

/// Stretches of another chain, one for each of equally many intervals of a chain: arc positions, px, that may run below
/// 0 or beyond the length (they wrap round).
using ChainWindows = std::vector<std::pair<double, double>>;

struct EdgeDistance : DistanceSample {
  std::size_t edge;  ///< of the other chain, where the nearest place is
};

/// Appends the distance of every point of `from` to the edges of `to` within its window, and keeps the largest.
void add_distances(const Chain& from, const Chain& to, const ChainWindows& windows, std::vector<EdgeDistance>* out,
                   Deviation* worst);

}  // namespace batten
