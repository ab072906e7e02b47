#pragma once
// How bright the bare paper would be on a sheet that lies partly in a shadow with an edge.

#include "ink/estimate_paper.h"
#include "ink/find_shade.h"

namespace batten {

struct ShadedPaper {
  Plane<float> brightness;  ///< of the bare paper, at every pixel
  Paper lit;                ///< of the part in full light; near_ink is 1 in the shadow
};

/// Lit and shaded paper are estimated each for itself. Between them, where the copy is too coarse to say where the edge
/// runs, lines are closed away in the picture itself, which keeps edges where they are. Cut short (and to be thrown
/// away) when asked to stop.
ShadedPaper paper_in_shade(const Plane<float>& grey, const Plane<Ground>& ground, const Plane<std::uint8_t>& no_sheet,
                           const std::stop_token& stop);

}  // namespace batten
