#pragma once
// Which loop passes nearest to a place, and where along it.

#include <vector>

#include "base/arc_loop.h"

namespace batten {

/// Points of many loops in square cells, for look-ups within a few band widths.
class LoopIndex {
 public:
  struct Place {
    int loop = -1;   ///< -1: none within the radius
    double arc = 0;  ///< on that loop
    double distance_px = 0;
  };
  /// Takes a point about every spacing_px of each loop.
  LoopIndex(const std::vector<const ArcLoop*>& loops, double spacing_px, double cell_px);

  /// The nearest point within radius_px; with several at the same distance the first loop, then the first arc.
  Place nearest(Point p, double radius_px) const;
  /// Is there a stretch of another loop, or of this one more than slack_px away along it, within radius_px?
  bool foreign_near(Point p, double radius_px, int loop, double arc, double slack_px) const;
  /// All points within radius_px of p.
  std::vector<Place> within(Point p, double radius_px) const;
  Point at(const Place& place) const { return loops_[std::size_t(place.loop)]->at(place.arc); }
  bool same_stretch(const Place& place, int loop, double arc, double slack_px) const;
  /// Does the place lie within [-back_px, ahead_px] of an arc of its own loop?
  bool lies_within(const Place& place, double arc, double back_px, double ahead_px) const;

 private:
  struct Entry {
    Point at;
    int loop;
    double arc;
  };
  template <class Visit>
  void visit(Point p, double radius_px, Visit&& each) const;

  std::vector<const ArcLoop*> loops_;
  std::vector<std::vector<Entry>> cells_;
  double cell_px_ = 1;
  Point origin_;
  int columns_ = 0, rows_ = 0;
};

}  // namespace batten
