#pragma once
// Keeps the number of points of a loop within bounds.

#include <span>

#include "batten/geometry.h"

namespace batten {

/// The step, px, or a wider one where the polyline, closed, would have over 200,000 points. Time and memory grow with
/// them: outlines of the largest sheets have some 50,000, while a polyline may be a thousand times as long as any
/// sheet.
double widened_step_px(std::span<const Point> polyline, double step_px);

}  // namespace batten
