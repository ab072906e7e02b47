#pragma once
// Stage: what a letterer straightens by hand: level, upright, on one line, equally wide, symmetric. Within the limit
// the fit was held to; every edit is listed, and one that breaks the limit is undone alone.

#include <vector>

#include "draft.h"
#include "proposal.h"
#include "sheet_axes.h"
#include "space_loops.h"

namespace batten {

struct DraftEdit {
  Edit::Kind kind = Edit::Kind::level;
  std::vector<JointPlace> joints;
  double moved_px = 0;
  bool kept = true;
};

struct Regularised {
  Draft draft;
  std::vector<DraftEdit> edits;
  std::vector<Tie> ties;  ///< that hold in `draft`, over its ScalarIndex
  std::vector<std::pair<JointPlace, JointPlace>> mirrored;
};

/// The joint solve shares parameter blocks, so that what is equal is equal to the last bit. An edit is undone where an
/// outline then lies further from its loop, by the independent measure, than the limit and than before. With all
/// options off the draft comes back as it was. Error: cancelled.
Result<Regularised> regularise(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                               const std::vector<Guide>& guides, const Options& options, Progress& progress);

}  // namespace batten
