#pragma once
// Stage: what a letterer straightens by hand: level, vertical, on one line, equally wide, symmetric. Within the limit
// the fit was held to; every edit is listed, and one that breaks the limit is undone alone.

#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "straighten/proposal.h"
#include "structure/sheet_axes.h"

namespace batten {

struct DraftEdit {
  Edit::Kind kind = Edit::Kind::level;
  std::vector<NodePlace> nodes;
  double moved_px = 0;
  bool kept = true;
};

struct Straightened {
  Draft draft;
  std::vector<DraftEdit> edits;
  std::vector<Tie> ties;  ///< that hold in `draft`, over its ScalarIndex
  std::vector<std::pair<NodePlace, NodePlace>> mirrored;
};

/// The joint solve shares parameter blocks, so that what is equal is equal to the last bit. An edit is undone where an
/// outline then lies further from its loop, by the independent measure, than the limit and than before. With all
/// options off the draft comes back as it was. Error: cancelled.
Result<Straightened> straighten_drawing(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                        const std::vector<Guide>& guides, const Options& options, Progress& progress);

}  // namespace batten
