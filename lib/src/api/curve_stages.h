#pragma once
// The curve stages up to straightening, run as one: once for most drawings, again for outlines with pins.

#include "base/loops.h"
#include "base/progress.h"
#include "corners/find_corners.h"
#include "corners/space_loops.h"
#include "straighten/straighten_drawing.h"
#include "structure/find_straights.h"
#include "structure/sheet_axes.h"

namespace batten {

/// A part of the whole job, 0..1.
struct Span {
  double begin = 0, end = 1;
};
Progress progress_for(const Job& job, Stage stage, const Span& span);

/// What the nodes are placed by: as located, or turned level.
struct Structure {
  SpacedLoops spaced;
  Corners corners;
  Straights straights;
  SheetAxes axes;
  std::vector<Guide> guides;
  SheetTurn turn;
  Point turned_about;  ///< where the turn was undone: its centre
};

Result<Structure> structure_of(const Loops& loops, const Options& options, const Job& job, const Span& span);

/// What a run over the stages makes, up to each place where a later run may take it up.
struct Curves {
  Draft joined, fitted, led_on, refined;
  Straightened regular;
};
/// `ink` may be empty.
Result<Curves> curves_of(const Structure& s, const Plane<float>& ink, const Options& options, const Job& job,
                         const Span& span);

/// The same up to `refined` for the loops marked, and for those that change with them; the others stay as in `known`.
/// changed: gets all of them.
Result<Curves> curves_again(const Structure& s, const Curves& known, const std::vector<char>& marked,
                            const Plane<float>& ink, const Options& options, const Job& job, const Span& span,
                            std::vector<char>* changed);

/// Some loops, in order, and their drafts.
SpacedLoops part_of(const SpacedLoops& loops, const std::vector<char>& which);
Draft part_of(const Draft& draft, const std::vector<char>& which);

}  // namespace batten
