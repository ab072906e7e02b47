#pragma once
// Stage: every outline is measured both ways against its located loop, and what does not hold is reported.

#include <stop_token>

#include "batten/convert.h"
#include "corners/space_loops.h"
#include "measure/reference_loop.h"

namespace batten {

/// Fills report->outlines and the figures of the whole, and adds a finding for each tolerance that is not held and each
/// outline that crosses itself. Outline i of the drawing belongs to loop i. least: the bound of each outline, if it was
/// looked for. When asked to stop it leaves off between two outlines.
void judge_outlines(const SpacedLoops& loops, const Drawing& drawing, Report* report,
                    const std::vector<LowerBound>& least = {}, int threads = 1, const std::stop_token& stop = {});

/// Fills in OutlineReport::within_tolerance; all other figures are known.
void judge_tolerance(OutlineReport* report);
/// Fills in Report::within_tolerance, when nothing will be added to the outlines and findings any more.
void judge_tolerance(Report* report);

/// Fills in the tips of an outline and how far it strays apart from them; its located line and limit are known.
void name_tips(const Outline& outline, double band_px, OutlineReport* report);

/// Makes the figures of a drawing those of the same drawing at a wider tolerance: limits grow, findings that it holds
/// go, the others say the new number. How few segments there could be is unknown then.
void widen_tolerance(double tolerance_px, Report* report);

}  // namespace batten
