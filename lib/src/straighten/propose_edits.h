#pragma once
// Proposes what belongs on one line, what should be equally wide or lean alike, and what should be symmetric.

#include <vector>

#include "straighten/axis_lines.h"
#include "straighten/try_proposals.h"
#include "structure/sheet_axes.h"

namespace batten {

/// Level straights of a row of letters with the ink on one side (feet, tops, crossbars), and vertical ones of one
/// letter. The ruled guides of the paper and the longest straights gather the others; each that joins is one proposal.
std::vector<Proposal> propose_lines(const SheetView& sheet, const std::vector<Guide>& guides);

/// Stems (vertical pairs) and horizontal strokes (level pairs) of nearly equal width, within a row of letters.
std::vector<Proposal> propose_widths(const SheetView& sheet);

/// Rounds that pass the feet or tops of their row by nearly the same: the overshoots become equal, none is taken away.
std::vector<Proposal> propose_overshoots(const SheetView& sheet);

/// Stems of letters that do not keep to the vertical: one slope for all that lean alike. Exact up to the file's
/// rounding.
std::vector<Proposal> propose_slants(const SheetView& sheet, const SheetAxes& axes);

/// Outlines that are mirror images of themselves, or of one another, about a vertical line: one proposal for each
/// letter all of whose outlines match node for node: places within slack_px, corners with corners, straights with
/// straights. The outlines of a letter share their axis; a counter beside it is mirrored by another one.
std::vector<Proposal> propose_symmetry(const SheetView& sheet);

}  // namespace batten
