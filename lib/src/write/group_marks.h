#pragma once
// Finds out which shapes of one row of letters are pieces of one glyph.

#include <cstddef>
#include <span>
#include <vector>

#include "write/reading_order.h"

namespace batten {

/// Groups of indices into `boxes` (the shapes of one row); each group is one glyph. The groups run from left to right,
/// the first of each is its tallest piece. Pieces above one another are one glyph (i, j, colon, exclamation mark,
/// equals), a small mark above or below joins the letter it is centred on, and two vertical marks side by side
/// (quotation marks) are one. Common practice of lettering, no source.
std::vector<std::vector<std::size_t>> group_marks(std::span<const ShapeBox> boxes);

}  // namespace batten
