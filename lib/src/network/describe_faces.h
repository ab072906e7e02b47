#pragma once
// Stage: for each closed outline what its inside holds, and why the shape has its kind. The one place that
// says so; choose_way and kind_of decide about kinds.

#include <cstdint>
#include <stop_token>

#include "base/loops.h"
#include "ink/load_scan.h"
#include "ink/separate_ink.h"

namespace batten {

/// The drawing as it was before hatching was taken out of outlines: 200 is the ink of a dark line, 0 is paper.
Plane<std::uint8_t> drawn_ink(const Ink& ink);

/// Fills Loop::face of each closed loop and Area::face of each area. The pixels of a face are those within its outline
/// and outside all loops within it, a band's width off all lines. In this order:
/// - more tint than the paper has: coloured;
/// - under 6 % of them are ink (a fifth as dark as the line): paper;
/// - at most 85 % are ink, and its edges run one way, or two ways at a right angle: hatched. Directions are those of
/// the
///   structure tensor (Bigun and Granlund, "Optimal orientation detection of linear symmetry", 1987);
/// - at least 92 % are ink as even as that of a liner: solid;
/// - else shaded.
/// These say what was seen, and decide nothing about where outlines run. `drawn` in grid coordinates; `scan` tells
/// colours, `asked` whether the caller decided about kinds. Asked to stop, it leaves off between two faces.
void describe_faces(const Plane<std::uint8_t>& drawn, const Scan& scan, Options::DrawingKind asked,
                    const std::stop_token& stop, Loops* loops);

}  // namespace batten
