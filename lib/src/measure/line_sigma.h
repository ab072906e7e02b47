#pragma once
// How nearly a located line is known, when an outline has been drawn along it.

#include "batten/geometry.h"
#include "corners/space_loops.h"

namespace batten {

/// One standard deviation, px, of a point of the line off the place that was meant. What a caller said of a line, or
/// what a polyline showed by itself, stays. What is usual for the width of a pencil line becomes less where the line is
/// long and follows its outline more nearly than any hand: an even pen's, or a plotter's.
double line_sigma_px(const SpacedLoop& loop, const Outline& outline);

}  // namespace batten
