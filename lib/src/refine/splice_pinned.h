#pragma once
// Keeps what pins change of an outline to the stretches round them.

#include "fit/draft.h"
#include "refine/edit_draft.h"

namespace batten {

/// `pinned`, the outline fitted anew with its pins, only where they are, from the nearest node on either side that
/// stands in both; elsewhere `before`. `pinned` as it is where no such nodes are found, or where what is spliced does
/// not hold what that held.
DraftLoop splice_pinned(const EditContext& c, const DraftLoop& before, const DraftLoop& pinned);

}  // namespace batten
