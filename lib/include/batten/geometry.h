#pragma once
/// \file
/// Plain geometry of a drawing. Units: pixels of the scan; x runs right, y runs DOWN; (0,0) is the outer corner of the
/// first pixel, so the centre of that pixel is (0.5, 0.5).

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "batten/export.h"

namespace batten {

/// A place or a vector, px.
struct Point {
  double x = 0;  ///< px, to the right
  double y = 0;  ///< px, DOWN
};
/// Sum, each coordinate by itself.
inline Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
/// Difference, each coordinate by itself.
inline Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
/// `a` stretched by `s`.
inline Point operator*(double s, Point a) { return {s * a.x, s * a.y}; }
/// Both coordinates exactly equal.
inline bool operator==(Point a, Point b) { return a.x == b.x && a.y == b.y; }

/// Control points of one cubic Bezier segment.
using Cubic = std::array<Point, 4>;

/// What a shape was drawn as; see Outline::kind.
enum class Kind {
  outlined,  ///< outlined by a pencil line or a bundle of strokes: the path runs in the middle of the band
  filled,    ///< shaded in: the path runs on the edge of the ink
  line       ///< a line of a network, open or closed: the path runs down its middle
};

/// What the inside of a closed outline holds.
enum class Inside {
  unknown,  ///< too small to tell, or nothing was looked at: an open line, an outline that was not traced from a scan
  paper,    ///< next to nothing
  hatched,  ///< strokes with paper between them, one way or crossed
  shaded,   ///< ink without a direction, uneven
  solid,    ///< ink all over, even
  coloured  ///< most of it has more of a tint than the paper
};
/// "unknown", "paper", "hatched", "shaded", "solid", "coloured".
BATTEN_EXPORT const char* name_of(Inside inside);

/// What was seen of a shape, and why it was taken for that.
struct Face {
  Inside inside = Inside::unknown;  ///< what it holds
  double ink_share = 0;             ///< 0..1 of the pixels inside, a band off all lines; 0 where unknown
  std::string why;  ///< a sentence or two: why the shape has its Kind, and what its inside shows; "" if not traced
};

/// Why a node is where it is.
enum class Reason {
  corner,          ///< the direction jumps here
  extreme_left,    ///< locally the leftmost place of a smooth curve; handles vertical
  extreme_right,   ///< locally the rightmost place; handles vertical
  extreme_top,     ///< locally the highest place; handles level
  extreme_bottom,  ///< locally the lowest place; handles level
  straight_end,    ///< a straight runs smoothly into a curve here
  added,           ///< without it one cubic could not hold the tolerance
  line_end         ///< an open line ends here
};
/// How many reasons there are: the size of a table by reason.
inline constexpr int reason_count = 8;
/// The word used in reports: "corner", "left", "right", "top", "bottom", "straight end", "added", "line end".
BATTEN_EXPORT const char* name_of(Reason reason);
/// "outlined", "filled", "line".
BATTEN_EXPORT const char* name_of(Kind kind);

/// An on-curve point. Handles are positions, not offsets; a retracted handle equals `at`.
struct Node {
  Point handle_before;            ///< px; the handle towards the node before; == at: retracted
  Point at;                       ///< px; where the node is
  Point handle_after;             ///< px; the handle towards the next node; == at: retracted
  bool smooth = true;             ///< both handles lie on one line through `at`
  Reason reason = Reason::added;  ///< why the node is there
};

/// One outline. Segment i runs from nodes[i] to nodes[(i+1) % size]: it is closed by construction, and the number of
/// segments is the number of nodes (one fewer for an open line).
struct Outline {
  std::vector<Node> nodes;     ///< in drawing order; outer outlines run clockwise on screen
  int parent = -1;             ///< index of the outline that this one is a counter (or an island) of; -1: none
  bool closed = true;          ///< false: a line from its first node to its last
  Kind kind = Kind::outlined;  ///< what the shape was drawn as
  /// How far points of the drawn line (or of the ink's edge) lie off what was meant: one standard deviation, calibrated
  /// on drawings of known outline. Corners are known less nearly (OutlineReport::hidden).
  double sigma_px = 0;
  double band_px = 0;  ///< width of the pencil band; 0 where none was measured
  Face face;           ///< what was seen inside it; holes and what stands in it count as shapes of their own
  /// Drawn as a line, open or closed: files paint it as a stroke as wide as its band. Anything else is filled.
  bool is_line() const { return !closed || kind == Kind::line; }
  /// As many as nodes where closed, one fewer where open.
  std::size_t segment_count() const { return closed || nodes.empty() ? nodes.size() : nodes.size() - 1; }
  /// Control points of segment `i`, 0 <= i < segment_count().
  Cubic segment(std::size_t i) const {
    const Node &a = nodes[i], &b = nodes[(i + 1) % nodes.size()];
    return {a.at, a.handle_after, b.handle_before, b.at};
  }
  /// A straight has both handles retracted.
  bool is_straight(std::size_t i) const {
    const Node &a = nodes[i], &b = nodes[(i + 1) % nodes.size()];
    return a.handle_after == a.at && b.handle_before == b.at;
  }
};

/// A ruled pencil line found on the paper, kept for aligning letters: y = y0 + slope * x.
struct Guide {
  double y0_px = 0;  ///< y at x = 0, px
  double slope = 0;  ///< dy/dx
};

/// Everything drawn on one scan. Outer outlines run clockwise on screen, counters the other way.
struct Drawing {
  double width_px = 0;            ///< of the whole scan
  double height_px = 0;           ///< of the whole scan
  double dpi = 0;                 ///< pixels per inch of the scan; 0 where unknown
  std::vector<Outline> outlines;  ///< px; parents may come after their children
  std::vector<Guide> guides;      ///< ruled lines that were found and left out
  Point origin;                   ///< px: upper left corner of the sheet; (0, 0) but where fit() got negative places
};

}  // namespace batten
