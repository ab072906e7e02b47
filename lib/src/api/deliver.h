#pragma once
// What of a drawing and its report is handed out, and in which order.

#include "base/loops.h"
#include "batten/convert.h"
#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// An outline for each loop, as finished, and what is known about them by loop.
struct Finished {
  Drawing of_loops;
  std::vector<LowerBound> least;
  std::vector<Edit> edits;        ///< outlines and nodes as in `of_loops`
  std::vector<Finding> findings;  ///< outlines as in `of_loops`
  bool leaves_out = true;         ///< what crosses itself and slivers; false: each loop has its outline
};

/// Leaves out what Options::output does not ask for, makes outlines of the lines that border areas, and judges what is
/// left: each line once, whatever many areas it borders. `loops` and `finished` have closed ones first.
Conversion deliver(const SpacedLoops& loops, const std::vector<Area>& areas, Finished finished, const Options& options,
                   const std::stop_token& stop);

}  // namespace batten
