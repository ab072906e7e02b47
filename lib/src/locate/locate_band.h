#pragma once
// Sub-pixel position of the middle of a band of pencil strokes.

#include <stop_token>
#include <vector>

#include "base/plane.h"
#include "base/polyline.h"

namespace batten {

struct BandSettings {
  double band_px;  ///< W
  double noise;    ///< of the ink on bare paper: what is below two of it does not weigh
};

/// All loops of one patch together, since a band must not be pulled towards its neighbour's ink: along each normal only
/// the run counts whose nearest loop is this one, within 2 W of arc. Each point moves to the weighted middle of the ink
/// in a Gaussian window of 0.72 W, on profiles averaged along the loop over W; three rounds. Where there are many
/// strokes the last two follow them: a bundle's middle steps aside wherever a stroke begins or ends, the direction of
/// its strokes does not (follow_strokes.h). Grid coordinates of `ink`; points 1 px apart. When asked to stop it returns
/// soon, and what it returns is to be thrown away.
std::vector<Polyline> locate_bands(const std::vector<Polyline>& rough, const Plane<float>& ink,
                                   const BandSettings& settings, const std::stop_token& stop, int threads = 1);

}  // namespace batten
