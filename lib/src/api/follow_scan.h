#pragma once
// Which line of a scan each outline follows that somebody drew over it.

#include <optional>
#include <span>
#include <stop_token>
#include <vector>

#include "base/loops.h"

namespace batten {

/// How far from a line an outline may lie, anywhere, to be taken for it: three widths of that line, at least 12 px.
double follow_reach_px(const Loop& line);

/// The lines of the scan, and in place of each outline the one that it follows: an open one turned the way
/// the outline runs, with the corners and straights that the outline tells (Loop::told), its direction and beginning.
/// Areas that share borders count as closed lines. Empty where no line lies within reach of all of the outline, or
/// where all nearer outlines have taken it. tolerance_px: what is told from the outline need not be finer. Stopped
/// early, all are empty.
std::vector<std::optional<Loop>> follow_scan(std::span<const Outline> outlines, const Loops& scan, double tolerance_px,
                                             const std::stop_token& stop);

}  // namespace batten
