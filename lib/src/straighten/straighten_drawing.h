#pragma once
// Stage: what a letterer straightens by hand becomes exact: level, vertical, on one line, equally wide, symmetric.

#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "straighten/try_proposals.h"
#include "structure/sheet_axes.h"

namespace batten {

/// One edit of the draft, kept or undone.
struct DraftEdit {
  Edit::Kind kind = Edit::Kind::level;
  std::vector<NodePlace> nodes;
  double moved_px = 0;  ///< how far the outline moved at those nodes, at most
  bool kept = true;     ///< false: it would have broken the limit and was undone
};

/// The draft after straightening, and what was done to it.
struct Straightened {
  Draft draft;
  std::vector<DraftEdit> edits;
  std::vector<Tie> ties;  ///< that hold in `draft`, over its ScalarIndex
  std::vector<std::pair<NodePlace, NodePlace>> mirrored;
};

/// The joint solve shares parameter blocks, so that what is equal is equal to the last bit. Every edit is listed; one
/// is undone, alone, where an outline would lie farther from its loop, by the independent measure, than the limit and
/// than before. Of open lines, which come last, straights are put on their axes. With all options off the draft comes
/// back as it was. Error: cancelled.
Result<Straightened> straighten_drawing(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                        const std::vector<Guide>& guides, const Options& options, Progress& progress);

}  // namespace batten
