#pragma once
// Where refit() works: at a scale of its own, beside (0, 0).

#include "base/loops.h"
#include "base/vec.h"

namespace batten {

/// From the document to where the work is done.
struct RefitBench {
  double scale = 1;
  Point origin;
  Point in(Point p) const { return scale * (p - origin); }
  Point out(Point p) const { return (1 / scale) * p + origin; }
};

template <class Place>
Outline placed(const Outline& outline, Place place) {
  Outline o = outline;
  for (Node& n : o.nodes)
    n.handle_before = place(n.handle_before), n.at = place(n.at), n.handle_after = place(n.handle_after);
  return o;
}

/// Solvers leave corners and ends where they were but for a share of the tolerance: that goes too. Corners within
/// near_px of where the loop has one move there.
void put_back_corners(const Loop& loop, double near_px, Outline* o);

}  // namespace batten
