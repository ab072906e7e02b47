#pragma once
// Stage: what was decided about ink and paper, put into the ink.

#include "batten/pins.h"
#include "ink/separate_ink.h"

namespace batten {

/// The pixels of the sheet whose centres lie in the polygon, as a mask; grid coordinates, `polygon` on the page.
Plane<std::uint8_t> mask_of(const std::vector<Point>& polygon, int width, int height);

/// The ink with the pins about it met, in their order: none where Pin::Kind::ignore or paper says so, as dark as the
/// sheet's own where ink says so, a stroke as wide and dark as the line where a gap is to be closed, and a cut two
/// pixels wide where something is to be kept apart. Elsewhere it is what it was.
Ink pin_ink(const Ink& ink, const std::vector<Pin>& pins);

/// Half the width of a cut.
inline constexpr double half_cut_px = 1;

/// Ink that hatching was taken out of, with what lies in regions that were shaded, as pins say, as it was `before`.
Ink keep_shading(const Ink& bare, const Plane<float>& before, const std::vector<Pin>& pins);

}  // namespace batten
