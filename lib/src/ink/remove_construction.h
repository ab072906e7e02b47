#pragma once
// Stage: pale construction lines, straight and round, are taken out of the ink and kept as a list.

#include "ink/find_circles.h"
#include "ink/find_construction.h"
#include "ink/subtract_guides.h"

namespace batten {

struct ClearInk {
  Ink ink;
  std::vector<Guide> guides;           ///< those of the paper, and construction lines that are level; top to bottom
  std::vector<PaleLine> construction;  ///< in any direction
  std::vector<PaleCircle> circles;     ///< of compasses and of cups
};

/// The profile of each line and circle, as dark as it is there, is taken out; where nothing was drawn on it, so is all
/// that its grain leaves. What crosses a line or stands on it keeps its own ink. Findings: guide_removed. Errors:
/// cancelled.
Result<ClearInk> remove_construction(GuidedInk guided, const Progress& progress, std::vector<Finding>* findings);

}  // namespace batten
