#pragma once
// Stage: ruled pencil lines across the sheet are taken out of the ink and kept as a list.

#include "ink/separate_ink.h"

namespace batten {

struct GuidedInk {
  Ink ink;
  std::vector<Guide> guides;  ///< from top to bottom
};

/// The profile of each guide (median across its bare stretches) is subtracted, never erased: what stands on it or
/// crosses it keeps its own ink. A guide is level within 2.3 degrees, straight, fainter than a drawn line, and shows
/// outside the box of all other ink or crosses the sheet: length alone is no proof, since stems and bars are long and
/// straight too. Lined or squared paper (a dozen lines at one pitch, or five each way that make squares) is taken out
/// whole, also where it was drawn over, and is no list of guides. All are reported. Errors: cancelled.
Result<GuidedInk> subtract_guides(Ink ink, const Progress& progress, std::vector<Finding>* findings);

}  // namespace batten
