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

/// One subpath as it stands in the text.
struct PathPart {
  int outline = -1;          ///< its index in what read_path() returns; -1: it is a place without a length
  std::size_t begin = 0;     ///< in the text, from its move on, where it has one
  std::size_t drawn = 0;     ///< after its move
  std::size_t end = 0;       ///< one beyond
  char line = 0;             ///< what numbers right after the move stand for: L or l
  Point start;               ///< where it starts
  bool moves = false;        ///< false: it goes on from where the one before was closed
  bool closed = false;       ///< by Z
  std::size_t segments = 0;  ///< commands that draw something, and the straight that closes it
};
/// The same, and how the text falls into subpaths.
std::vector<Outline> read_path(std::string_view data, bool* sound, std::vector<PathPart>* parts);

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
  Point start() const { return start_; }
  std::size_t finished() const { return done_.size(); }  ///< outlines so far
  std::vector<Outline> take();

 private:
  void begin_if_needed();
  void end();
  Outline outline_;
  std::vector<Outline> done_;
  Point at_, start_;
};

}  // namespace batten
