#pragma once
// Takes small loops out of a draft: where it crosses itself and comes round again within a few widths of its line.

#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// A loop of up to three widths that the curve makes, and the located line does not, is cut off at the crossing, where
/// a corner remains, or a smooth node where the outline hardly turns. Kept only where no segment beside it comes to
/// lie farther than allowed_px off, or farther than before. Loops that were drawn, in handwriting, are longer. Returns
/// whether the draft changed.
bool cut_tangles(const SpacedLoop& loop, double allowed_px, const std::stop_token& stop, DraftLoop* d);

}  // namespace batten
