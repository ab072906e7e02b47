#pragma once
// Where a shaded shape is more ink than paper.

#include "base/plane.h"
#include "ink/measure_patch.h"

namespace batten {

/// (smoothed ink - paper) / (ink - paper) - 1/2 with ink and paper taken near each place, of graphite along the rim: 0
/// on the edge, positive inside. Graphite has grain, so it is smoothed by 1 px; a curved edge of radius R moves inwards
/// by sigma^2 / 2R only (Verbeek & van Vliet 1994): under 0.05 px for R over 10. Crisp fills: 0.5 px.
Plane<float> fill_contrast(const Plane<float>& ink, const PatchMeasure& measure);

}  // namespace batten
