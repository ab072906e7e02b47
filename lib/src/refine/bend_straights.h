#pragma once
// Bends straights that were drawn as flat curves. A run may keep within a tolerance of a line and bend all the same:
// the ink along all of it says so before any one point does.

#include "refine/edit_draft.h"

namespace batten {

/// How many draws of noise (is_significant()) a bend must be worth: more between two corners, and more for one wall of
/// a stem whose other wall is straight as well.
double least_bend(const DraftLoop& d, std::size_t segment);

/// Makes a straight a cubic where its stretch of loop does not follow it: where it lies farther off than
/// straight_tolerance_px, or is neither level nor vertical and bends by more than noise explains. Tried on a copy, and
/// kept where the segments round it fit better by as much as least_bend() asks (the limit is not asked for here).
/// Returns whether the draft changed.
bool bend_straight(const EditContext& c, DraftLoop* d, std::size_t segment);

}  // namespace batten
