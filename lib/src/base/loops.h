#pragma once
// Located loops: pixel stages (and fit()) make them, curve stages read them.

#include <optional>
#include <vector>

#include "base/plane.h"
#include "batten/geometry.h"

namespace batten {

/// Where an end of an open line lies.
struct LineEnd {
  int on_loop = -1;   ///< the line or outline that it ends on (a T): delivered exactly on that curve; -1: none
  int junction = -1;  ///< ends with the same number >= 0 are delivered at exactly the same place; -1: none
};

/// What a drawn curve tells about the loop that was sampled from it; arcs are lengths along the loop from its first
/// point.
struct KnownCurve {
  struct Corner {
    double arc = 0;
    Point at, into, out_of;  ///< directions of travel: unit vectors
  };
  struct Straight {
    double from = 0, to = 0;  ///< to > from; to may exceed the length of a closed loop
    Point a, b;
  };
  std::vector<Corner> corners;      ///< in order of arc
  std::vector<Corner> rounds;       ///< of Loop::told: turns so tight that no pencil line tells them from corners
  std::vector<Straight> straights;  ///< in order of arc, none over a corner
  bool starts_at_node = false;      ///< of a closed one: its first point has to be a node
};

/// A closed sub-pixel polyline, or an open one, with what is known about its uncertainty. Never written again once
/// located.
struct Loop {
  std::vector<Point> points;  ///< closed: last != first; about 1 px apart (0.5 px for crisp fills)
  Kind kind = Kind::outlined;
  double sigma_px = 0;  ///< how far points waver across the loop, one standard deviation: what a fit allows for
  /// How far they lie off what was meant, one standard deviation, where ink told the place: what is stated. Empty:
  /// sigma_px is.
  std::optional<double> known_sigma_px;
  double band_px = 0;      ///< W, width of the pencil band of this patch; soft fills: 6; crisp fills and polylines: 0
  double rounding_px = 0;  ///< r, radius by which locating rounds a corner: 0.3 W outlined, 0.35*6 soft fill, 0.4 crisp
  double correlation_px = 1;        ///< length over which errors of neighbouring points are alike
  bool open = false;                ///< points run from one end of a line to the other; Kind::line
  LineEnd start, end;               ///< of open ones
  Face face;                        ///< what was seen inside closed ones
  bool is_drawn = false;            ///< somebody's outline: keeps its direction and first node
  bool is_drawn_back = false;       ///< closed: it runs against the points
  double drawn_from = 0;            ///< arc of the loop at which it begins
  std::optional<KnownCurve> known;  ///< its corners and straights need not be looked for
  /// Which corners and straights a path along it has that somebody drew: arcs are those on this loop, about, and the
  /// places are the path's, not the loop's.
  std::optional<KnownCurve> told;
};

/// Two ends of open lines at one junction at which one stroke runs on: they share their direction, the node is smooth.
struct LineRunsOn {
  int loop_a = -1;
  bool a_at_end = false;  ///< else at its start
  int loop_b = -1;
  bool b_at_end = false;
};

/// A closed area whose border consists of open lines, some of them shared with neighbouring areas.
struct Area {
  struct Part {
    int loop = -1;
    bool reversed = false;
  };
  std::vector<Part> parts;  ///< in order round the area; each ends where the next one starts
  Kind kind = Kind::outlined;
  Face face;
};

/// Flags, of `count` loops, those that are borders of areas.
inline std::vector<char> which_are_borders(const std::vector<Area>& areas, std::size_t count) {
  std::vector<char> out(count, 0);
  for (const Area& area : areas)
    for (const Area::Part& part : area.parts)
      if (part.loop >= 0 && std::size_t(part.loop) < count) out[std::size_t(part.loop)] = 1;
  return out;
}

struct Loops {
  std::vector<Loop> loops;
  std::vector<Guide> guides;
  /// Signed ink of the sheet with guides subtracted, in grid coordinates; empty where there is no picture.
  Plane<float> ink;
  double ink_noise = 0;             ///< standard deviation of `ink` on bare paper
  std::vector<Area> areas;          ///< delivered as outlines, in place of the lines that they consist of
  std::vector<LineRunsOn> runs_on;  ///< where one stroke runs on through a junction
  Point origin;                     ///< px: where (0, 0) of all this lies for the caller
  int reduction = 1;                ///< of the copy in which they were found; all lengths are those of the scan
  double unit_px = 1;               ///< how long a px of all this is for the caller
};

}  // namespace batten
