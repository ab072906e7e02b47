#pragma once
// Shapes that other lines cut into several faces.

#include "network/faces.h"

namespace batten {

/// From each face the neighbour is taken in that makes the whole most convex, as long as that helps; the outer borders
/// of the sets that got convex (area at least 0.8 of the hull's). width_px: of a stroke.
std::vector<Cycle> unite_faces(const LineNetwork& net, const Faces& faces, double width_px);

}  // namespace batten
