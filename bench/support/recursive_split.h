#pragma once
// The well-known method that batten is compared with: least squares with reparametrisation, cut in two at the worst
// point until it fits. Written from its published description: P. J. Schneider, "An Algorithm for Automatically Fitting
// Digitized Curves", Graphics Gems, Academic Press, 1990, pp. 612-626. Own code.

#include "batten/geometry.h"
#include "support/shapes.h"

namespace batten::support {

/// Fits a closed polyline (last != first), cut at the points whose indices are given (its corners, ascending; none: cut
/// at point 0, smooth there by the tangent of its neighbours). The method's own error is measured at its parameters
/// only.
Outline recursive_split(const Polyline& points, const std::vector<std::size_t>& corners, double tolerance_px);

}  // namespace batten::support
