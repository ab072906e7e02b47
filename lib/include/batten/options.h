#pragma once
/// \file
/// What is asked for.

#include <optional>
#include <vector>

#include "batten/error.h"
#include "batten/export.h"
#include "batten/pins.h"

namespace batten {

/// What is asked for. Plain values; check() knows their ranges.
struct Options {
  /// Whether extremes of smooth curves must be nodes.
  enum class Extremes {
    required,  ///< always, except where the curve passes its neighbours by less than the line is certain
    free       ///< only where one is needed
  };
  /// What shapes were drawn as.
  enum class DrawingKind {
    automatic,  ///< decided for each patch of ink
    outlined,   ///< each shape is outlined by one line or by many loose strokes
    filled,     ///< each shape is shaded in
    lines       ///< a network of pencil lines: open ones, and areas that share borders
  };
  /// What is delivered.
  enum class Output {
    both,      ///< outlines of shapes, and open lines; borders that areas share lie on one another exactly
    outlines,  ///< closed outlines only
    lines      ///< open lines only, each once: borders that areas share as well, in place of the areas
  };
  /// What becomes of pale lines and circles that were set out before the drawing.
  enum class Construction {
    leave_out,  ///< they are no part of the drawing
    keep        ///< they are delivered as lines
  };
  /// What is straightened within the tolerance.
  struct Straighten {
    bool axes = true;        ///< straights that are nearly so become exactly level or vertical
    bool slants = true;      ///< straights that lean alike get one slope
    bool lines = true;       ///< feet, tops and crossbars of a row share one height; sides of a letter one place
    bool widths = true;      ///< stems and horizontal strokes of nearly equal width become equal
    bool overshoots = true;  ///< rounds that pass the line by nearly the same amount get the same overshoot
  };
  /// Which way outer outlines run on screen.
  enum class Direction {
    clockwise,     ///< counters run anticlockwise
    anticlockwise  ///< counters run clockwise
  };
  /// Where outlines start.
  enum class Start {
    corner,  ///< at the lowest corner
    extreme  ///< at the lowest extreme
  };

  /// px, > 0. Largest distance, both ways, between the outline and the located edge or middle of the band.
  /// Empty: chosen for each outline, 2.6 times the standard deviation of its pencil line, at least 0.5 px. One of a
  /// hundred points lies that far off by chance. A finer tolerance would follow the wobble of the pencil, so it is
  /// raised to this, with a finding, unless hold_tolerance says not to. DEFAULT: 1 px.
  std::optional<double> tolerance_px = 1.0;
  /// Holds tolerance_px against the located line even where that is known less nearly (OutlineReport::known_px): the
  /// outline then follows the wobble of the pencil too, at the cost of more nodes, and a finding says so. For whoever
  /// measures error against nodes. DEFAULT: false, which raises it there.
  bool hold_tolerance = false;
  /// Whether a node stands wherever a smooth curve is leftmost, rightmost, highest or lowest. `free` drops the rule,
  /// for the fewest nodes. DEFAULT: required.
  Extremes extremes = Extremes::required;
  /// What was drawn; automatic decides for each patch of ink. DEFAULT: automatic.
  DrawingKind drawing = DrawingKind::automatic;
  /// What is delivered of what was found. DEFAULT: both.
  Output output = Output::both;
  /// What becomes of pale construction lines; printed ruling, and what looks like it (a level line across most of the
  /// sheet), is left out always. DEFAULT: leave_out.
  Construction construction = Construction::leave_out;
  /// What is straightened as a letterer does by hand, within the tolerance; every edit is in Report::edits. All false
  /// gives the outlines as they were fitted. DEFAULT: all true.
  Straighten straighten;
  /// Shapes that are their own mirror image about a vertical line, within the tolerance, become exactly so. DEFAULT:
  /// false, since it takes the life out of drawn rounds.
  bool symmetry = false;
  /// Turns the outlines back by the sheet's own turn (Report::sheet), so that a sheet laid askew comes out level; level
  /// and vertical are then those of the sheet. DEFAULT: false, so that the outlines lie on the scan.
  bool deskew = false;
  /// px, 0 or 1e-6..1000. Every coordinate, handles included, becomes a whole multiple of it; what is level, vertical,
  /// equally wide or mirrored stays exactly so. DEFAULT: 0, which rounds to thousandths of a pixel.
  double grid_px = 0;
  /// Which way outer outlines run on screen; counters run the other way. DEFAULT: clockwise.
  Direction direction = Direction::clockwise;
  /// Where an outline starts: at its lowest corner (the leftmost of those within a band width of the lowest), or at its
  /// lowest extreme even if it has corners. An outline that has no node of the kind asked for starts at the other kind.
  /// DEFAULT: corner.
  Start start = Start::corner;
  /// Pixels per inch of the scan; 0: unknown. Used for sizes in mm only. DEFAULT: 0.
  double dpi = 0;
  /// How many threads may work, 0..1024; 0: one for each core that this process may use. Job::threads counts instead
  /// where it is given. The drawing never depends on it. DEFAULT: 1.
  int threads = 1;
  /// Decisions that win over detection, at most 1000; outlines that none is about come out as without. DEFAULT: none.
  std::vector<Pin> pins;
};

/// Names the field and its range if an option is out of range.
BATTEN_EXPORT std::optional<Error> check(const Options& options);

}  // namespace batten
