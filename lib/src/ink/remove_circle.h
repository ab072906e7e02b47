#pragma once
// A pale circle is taken out of the ink.

#include "ink/find_circles.h"

namespace batten {

/// Takes the profile of the circle, as dark as it is along each stretch, out of the ink; where nothing was drawn on it,
/// so is all that its grain leaves. What crosses it keeps its own ink. `drawn`: see drawn_places.
void remove_circle(const PaleCircle& circle, const Plane<std::uint8_t>& drawn, double noise, Plane<float>* ink);

}  // namespace batten
