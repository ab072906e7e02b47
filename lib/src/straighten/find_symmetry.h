#pragma once
// Part of straightening: outlines that are mirror images of themselves, or of one another, about a vertical line.

#include <vector>

#include "straighten/proposal.h"

namespace batten {

/// One proposal for each letter all of whose outlines match node for node: places within slack_px, corners with
/// corners, straights with straights. The outlines of a letter share their axis; a counter beside it is mirrored by
/// another one.
std::vector<Proposal> propose_symmetry(const SpacedLoops& loops, const Draft& draft, const ScalarIndex& index);

}  // namespace batten
