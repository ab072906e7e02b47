#pragma once
// Says what a practitioner would about how the nodes of an outline are set.

#include <vector>

#include "batten/convert.h"

namespace batten {

/// Findings about the nodes of `outline`, whose reasons are named: extremes without a node, handles a little off their
/// axis, kinks, nodes that could go, straights with handles, straights a little off an axis. Lengths that matter are
/// taken from the tolerance (px, > 0). `index` is the outline's place in its drawing. Each fault is named once.
std::vector<Finding> advise_outline(const Outline& outline, int index, double tolerance_px);

}  // namespace batten
