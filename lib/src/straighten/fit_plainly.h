#pragma once
// The last resort for an outline that left its line: corner to corner by plain cubics.

#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Farthest that a draft lies off its located line, both ways, by the independent measure and apart from tips of
/// corners, px. What is beside corners counts, other than in segment_error().
double strayed_px(const SpacedLoop& loop, const DraftLoop& d);

/// Fits the line anew: corners that are `kept` (a flag for each node) and ends stay, extremes and straights are given
/// up, and segments are divided until each lies within allowed_px. Whether that is better is the caller's to say.
DraftLoop fit_plainly(const SpacedLoop& loop, double allowed_px, const std::vector<char>& kept, const DraftLoop& d,
                      const std::stop_token& stop);

}  // namespace batten
