#pragma once
// Which loop passes nearest to a place, and where along it.

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include "base/arc_loop.h"

namespace batten {

/// Points of many loops in square cells, for look-ups within a few band widths. Only cells that hold points take
/// memory, so that it grows with the length of the loops, however far apart they lie.
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
  /// How near the stretch within slack_px of an arc comes to p, and how near all else; infinite beyond radius_px.
  struct Clearance {
    double own_px, foreign_px;
  };
  Clearance clearance(Point p, double radius_px, int loop, double arc, double slack_px) const;
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
  // The entries of a cell are neighbours in entries_.
  struct Cell {
    int x = 0, y = 0;
    std::uint32_t begin = 0, end = 0;  // equal: no cell is here
  };
  std::pair<int, int> cell_of(Point p) const;
  std::size_t slot_of(int x, int y) const;
  std::span<const Entry> entries_in(int x, int y) const;
  template <class Visit>
  void visit(Point p, double radius_px, Visit&& each) const;

  std::vector<const ArcLoop*> loops_;
  std::vector<Entry> entries_;
  std::vector<Cell> slots_;  // a table of a power of two, in which a cell stands at its number or soon after
  double cell_px_ = 1;
  Point origin_;
  int columns_ = 0, rows_ = 0;
};

}  // namespace batten
