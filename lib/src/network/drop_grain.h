#pragma once
// Lines that are nothing but grain, of a shaded or coloured area or of the paper, go.

#include "network/coloured_areas.h"
#include "network/line_paths.h"

namespace batten {

/// Open paths that no border of an area needs are dropped where they are
/// - grain of shading: a line has paper beside it, or on one side at least much less ink than itself; crayon and
///   graphite have as good as the same all round. At least 0.6 of their own ink lies within 1.4 widths on both sides,
///   and at least half of it within 3 (medians along the path);
/// - crumbs of the paper's grain: shorter than 12 widths, free at an end, and hardly a third as dark as the lines of
/// the
///   sheet are in the median of their length;
/// - strokes of colour: shorter than 15 widths, three quarters within a coloured area, more coloured than that is and
/// not
///   much darker.
/// So are paths and areas that lie in a punched hole. Numbers of paths in areas are kept up to date. `ink` is the
/// scan's, `mask` the one that `coloured` was read with.
void drop_grain(const Ink& ink, const LineMask& mask, const ColouredAreas& coloured, LinePaths* paths);

}  // namespace batten
