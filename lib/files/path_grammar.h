#pragma once
// Reads path data of SVG 1.1, section 8.3: every command, relative and absolute, with the grammar's liberties about
// separators.

#include <optional>
#include <string_view>
#include <vector>

#include "batten/geometry.h"

namespace batten {

/// Subpaths in user units; quadratics and arcs as cubics, each straight with retracted handles, no segment of length 0.
/// `closed` is true after Z and where the end meets the start. Data after an error is left out, as the standard says,
/// and *sound becomes false.
std::vector<Outline> read_path(std::string_view data, bool* sound);

/// A path under construction: what path data and the basic shapes share.
class PathMaker {
 public:
  void move_to(Point to);
  void line_to(Point to);
  void curve_to(Point a, Point b, Point to);
  /// Elliptical arc from the current point (SVG 1.1, appendix F.6), as cubics of at most a quarter turn each.
  void arc_to(double rx, double ry, double turn_deg, bool large, bool sweep, Point to);
  void close();
  Point at() const { return at_; }
  std::vector<Outline> take();

 private:
  void begin_if_needed();
  void end();
  Outline outline_;
  std::vector<Outline> done_;
  Point at_, start_;
};

}  // namespace batten
