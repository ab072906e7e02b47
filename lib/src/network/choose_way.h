#pragma once
// Which patches are outlines of shapes, and which belong to a network of lines. The one place where this is decided.

#include "shapes/find_patches.h"
#include "shapes/trace_cells.h"

namespace batten {

/// Loops of one outlined patch. Where they explain most of its ink and not enough for an outline, they are read once
/// more as bundles of strokes that lie farther apart than a line is wide, 1.5 and 2 times as broad, and that reading
/// counts if it explains nearly everything (0.97): whole letters in loose strokes had 0.97 to 1, patches of drawings of
/// lines less, but for one ring.
CellLoops trace_lines_or_bundles(const Ink& ink, const Patches& patches, int patch, int threads,
                                 const std::stop_token& stop);

/// For each patch whether it belongs to the network.
///
/// An outlined patch is the outline of a shape when its loops explain its ink: at least 0.93 of its crests lie along
/// them (0.98 and more in some 300 drawings of letters, 0 to 0.82 in drawings of lines that end, cross or branch), as
/// much of their length belongs to loops that are not tiny, and neighbours do not share more than 0.15 of their
/// borders. Where more ink of a sheet belongs to networks than to outlines, lone rings, and marks filled by a line or
/// two, are parts of the drawing as well: the bowl of a written letter is no shape. `asked` overrules: lines puts
/// everything into the network, outlined and filled nothing.
/// Solid shapes with pale lines that lead up to them are read as a network where those lines are to be kept.
/// Where pins say what a patch was drawn as, they have the last word.
std::vector<char> belongs_to_network(const Ink& ink, const Patches& patches, const std::vector<CellLoops>& traced,
                                     Options::DrawingKind asked, const std::vector<Pin>& pins = {},
                                     Options::Construction construction = Options::Construction::leave_out);

/// Is a loop under 6 W^2 (less than 2.8 W across)? Its own band hides where it runs. Such loops are the eyes of written
/// notes, and never were drawn as shapes.
bool is_tiny(const RoughLoop& loop, double band_px);

/// Share of a patch's loops that lie within 0.3 of a band's width of another loop, where the ink is no wider than the
/// line is elsewhere: there both follow the same line. Where two walls touch the ink is wider by half.
double shared_border(const Ink& ink, const Patch& patch, const std::vector<RoughLoop>& loops);

}  // namespace batten
