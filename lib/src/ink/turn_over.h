#pragma once
// Stage: pictures of light lines on a dark ground are turned over, so that all later stages see dark lines on paper.

#include "ink/load_scan.h"

namespace batten {

/// Chalk on a board, white pencil on black card, a negative: the frame of the picture is dark, so is most of it, and
/// what differs from its surroundings is brighter. Other pictures pass through untouched. Findings: turned_over.
/// Errors: cancelled.
Result<Scan> turn_over(Scan scan, const Progress& progress, std::vector<Finding>* findings);

}  // namespace batten
