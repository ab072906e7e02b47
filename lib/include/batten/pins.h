#pragma once
/// \file
/// Pins: what whoever drew has decided where a drawing can be read in more than one way. They win over detection.

#include <cstddef>
#include <string>
#include <vector>

#include "batten/export.h"
#include "batten/geometry.h"

namespace batten {

/// One decision. Places are px of the scan (of the caller's polylines in fit()).
struct Pin {
  /// What is decided. Those up to `start` are about outlines and lines, the others about the scan.
  enum class Kind {
    node,        ///< a node at the place; see Pin::turn and Pin::along
    no_node,     ///< no node within Pin::length_px of the place
    corner,      ///< the outline turns sharply near the place
    no_corner,   ///< the outline runs on smoothly past the place
    straight,    ///< between two places the outline is straight; see Pin::along
    share_x,     ///< the nodes at two or more places stand exactly above one another
    share_y,     ///< the nodes at two or more places stand exactly side by side
    equal,       ///< the first two of four places lie as far apart as the last two
    through,     ///< the outline passes through the place
    start,       ///< the outline starts at the place
    ignore,      ///< what lies in the polygon is no part of the drawing
    drawn_as,    ///< what lies in the polygon was drawn so; see Pin::drawn
    ink,         ///< the polygon is drawn ink all over
    paper,       ///< the polygon is bare paper
    tolerance,   ///< outlines that mostly lie in the polygon are held to Pin::length_px
    close_gap,   ///< a line was meant to run from one place to the other
    keep_apart,  ///< from one place to the other what touches does not belong together
  };
  /// How many kinds there are.
  static constexpr int kind_count = 17;
  /// Which sort of node a node is.
  enum class Turn {
    any,     ///< as it was found
    corner,  ///< its two sides have directions of their own
    smooth   ///< its handles lie in one line
  };
  /// Which way handles or a straight run.
  enum class Along {
    any,      ///< as the line runs
    level,    ///< exactly level
    vertical  ///< exactly vertical
  };
  /// What a region was drawn as.
  enum class Drawn {
    shaded,    ///< areas shaded in: the outline follows their edge
    outlined,  ///< outlined by a line or a bundle of strokes: the outline runs down the middle
    lines      ///< lines that end, cross and branch
  };

  Kind kind = Kind::node;      ///< what is decided
  std::vector<Point> places;   ///< px; one, two or four as Kind says; a polygon has three or more
  Turn turn = Turn::any;       ///< of Kind::node
  Along along = Along::any;    ///< of Kind::node and Kind::straight
  Drawn drawn = Drawn::lines;  ///< of Kind::drawn_as
  double length_px = 0;        ///< px, > 0 for Kind::tolerance; for Kind::no_node 0 is one line width, at least 6 px
  std::string note;            ///< for whoever reads the list; it changes nothing
};

/// The word used in files and reports: "node", "no node", "corner", "not a corner" ...
BATTEN_EXPORT const char* name_of(Pin::Kind kind);
/// "any", "corner", "smooth".
BATTEN_EXPORT const char* name_of(Pin::Turn turn);
/// "any", "level", "vertical".
BATTEN_EXPORT const char* name_of(Pin::Along along);
/// "shaded", "outlined", "lines".
BATTEN_EXPORT const char* name_of(Pin::Drawn drawn);
/// Is it about a part of the scan, and not about an outline?
BATTEN_EXPORT bool is_about_scan(Pin::Kind kind);

/// What became of a pin, looked up in the drawing that is delivered.
struct PinOutcome {
  bool held = false;       ///< the drawing is as the pin says
  double distance_px = 0;  ///< how far the drawing misses it; 0 where it is held
  double off_line_px = 0;  ///< held, but the outline lies so far off the drawn line there, over its limit; else 0
  int outline = -1;        ///< into Drawing::outlines: the one nearest to its first place; -1: none is near
  Point place;             ///< px; its first place
  std::vector<std::size_t> against;  ///< the pins that contradict it, by their numbers in the list
  std::string text;                  ///< a sentence
};

}  // namespace batten
