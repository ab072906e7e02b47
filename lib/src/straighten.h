#pragma once
// Part of regularise: pieces that were meant to be level or upright become straights that are exactly so.

#include <functional>
#include <vector>

#include "draft.h"
#include "edit_draft.h"
#include "sheet_axes.h"
#include "space_loops.h"

namespace batten {

struct Straightened {
  bool upright = false;   ///< else level
  double middle_arc = 0;  ///< of the straight, on the loop
  double moved_px = 0;    ///< largest distance between the straight and the outline as it was
};

/// Is the outline as good after an edit as it has to be?
using Holds = std::function<bool(const DraftLoop& before, const DraftLoop& after)>;

/// Edits are tried one by one, the longest first; one is undone where the pieces round it no longer hold
/// stem_allowance_px, or where `holds` says no.
std::vector<Straightened> straighten_loop(const EditContext& c, const AxisIntent& intent, const Holds& holds,
                                          DraftLoop* d);

}  // namespace batten
