#pragma once
// Which patches are outlines of shapes, and which belong to a network of lines. The one place where this is decided.

#include "shapes/find_patches.h"
#include "shapes/trace_cells.h"

namespace batten {

/// For each patch whether it belongs to the network.
///
/// An outlined patch is the outline of a shape when its loops explain its ink: at least 0.93 of its crests lie along
/// them (0.98 and more in some 300 drawings of letters, 0 to 0.82 in drawings of lines that end, cross or branch), and
/// neighbours do not share more than a quarter of their borders. Where more ink of a sheet belongs to networks than to
/// outlines, lone rings, and marks filled by a line or two, are parts of the drawing as well: the bowl of a written
/// letter is no shape. `asked` overrules: lines puts everything into the network, outlined and filled nothing.
std::vector<char> belongs_to_network(const Patches& patches, const std::vector<CellLoops>& traced,
                                     Options::DrawingKind asked);

/// Share of the loops' points that lie within 0.3 of a band's width of another loop.
double shared_border(const std::vector<RoughLoop>& loops, double band_px);

}  // namespace batten
