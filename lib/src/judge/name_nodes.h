#pragma once
// Names the nodes of an outline that was there already: corners, extremes, ends of straights.

#include "batten/geometry.h"

namespace batten {

/// A turn from here on is meant as a corner; less is a smooth node, perhaps with a kink. Common practice, no source:
/// the flattest corners of the open fonts that the tests use turn by 11 degrees and more.
inline constexpr double corner_turn_deg = 10;

/// Turn of the outline at a node, degrees, 0..180; retracted handles are looked through.
double turn_deg_at(const Outline& outline, std::size_t node);

/// Sets `smooth` and `reason` of every node from the curves on both sides of it.
void name_nodes(Outline* outline);

}  // namespace batten
