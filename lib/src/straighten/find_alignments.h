#pragma once
// Part of straightening: what belongs on one line, and what should be equally wide.

#include <vector>

#include "straighten/axis_lines.h"
#include "straighten/proposal.h"
#include "structure/sheet_axes.h"

namespace batten {

/// Level straights of a row of letters with the ink on one side (feet, tops, crossbars), and vertical ones of one
/// letter. The ruled guides of the paper and the longest straights gather the others; each that joins is one proposal.
std::vector<Proposal> propose_lines(const SpacedLoops& loops, const Draft& draft, const std::vector<Guide>& guides,
                                    const Grouping& groups, const ScalarIndex& index);

/// Stems (vertical pairs) and horizontal strokes (level pairs) of nearly equal width, within a row of letters.
std::vector<Proposal> propose_widths(const SpacedLoops& loops, const Draft& draft, const Grouping& groups,
                                     const ScalarIndex& index);

/// Rounds that pass the feet or tops of their row by nearly the same: the overshoots become equal, none is taken away.
std::vector<Proposal> propose_overshoots(const SpacedLoops& loops, const Draft& draft, const Grouping& groups,
                                         const ScalarIndex& index);

/// Stems of letters that do not keep to the vertical: one slope for all that lean alike. Exact up to the file's
/// rounding.
std::vector<Proposal> propose_slants(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                     const ScalarIndex& index);

}  // namespace batten
