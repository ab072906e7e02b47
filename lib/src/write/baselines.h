#pragma once
// Finds the line that the letters of one row stand on.

#include <span>

#include "batten/geometry.h"
#include "write/reading_order.h"

namespace batten {

/// The baseline of one row: the level that most of the letters' feet share, or the ruled line there.
/// `letters` are the boxes of the letters without their marks, at least one; tallest_px is the height of the tallest.
Guide find_baseline(std::span<const ShapeBox> letters, double tallest_px, std::span<const Guide> guides);

}  // namespace batten
