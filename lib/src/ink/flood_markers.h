#pragma once
// Watershed from given markers (Meyer, Color image segmentation, 1992).

#include <cstdint>
#include <stop_token>

#include "base/plane.h"

namespace batten {

/// Labels every pixel of `height` with that of the marker (label > 0) from which rising water reaches it first; where
/// two meet, the border runs along the crest between them. Water runs to the four neighbours, of equal heights in the
/// order in which it came. Cut short (and to be thrown away) when asked to stop.
void flood_markers(const Plane<float>& height, Plane<std::int32_t>* labels, const std::stop_token& stop = {});

}  // namespace batten
