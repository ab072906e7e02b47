#pragma once
// Shadows that are cast on the sheet and have an edge.

#include <stop_token>

#include "ink/look_at_copy.h"

namespace batten {

/// What a place of a picture shows.
enum class Ground : std::uint8_t {
  unknown,  ///< ink, an edge, or no sheet
  lit,      ///< paper in full light
  shaded    ///< paper in a shadow
};

/// On the grid of Scan::copy, of which `look` is a look; empty where no shadow has an edge that shows. A shadow is
/// paper: it has the sheet's colour and its fine grain, which shading with a pencil has not, and comes in over the
/// frame of the picture. Cut short (and to be thrown away) when asked to stop.
Plane<Ground> find_shade(const Scan& scan, const Look& look, const Plane<std::uint8_t>& no_sheet,
                         const std::stop_token& stop);

}  // namespace batten
