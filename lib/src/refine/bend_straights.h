#pragma once
// Leaf: straights that were drawn as flat curves. A run that keeps within a tolerance of a line may bend all the same:
// the ink along all of it says so before any one point does.

#include "refine/edit_draft.h"

namespace batten {

/// Draws of noise that bending a straight must be worth before it is bent: more between two corners, and more for one
/// wall of a stem whose other wall is straight as well.
double least_bend(const DraftLoop& d, std::size_t segment);

/// A straight that its stretch does not follow becomes a cubic: one that lies farther off than straight_tolerance_px,
/// or that is neither level nor vertical and bends by more than noise explains. Returns whether the draft changed.
bool bend_straight(const EditContext& c, DraftLoop* d, std::size_t segment);

}  // namespace batten
