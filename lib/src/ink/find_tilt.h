#pragma once
// How far level printed lines are turned, before any of them has been found.

#include <stop_token>

#include "base/plane.h"

namespace batten {

/// The slope dy/dx, within +-0.2 (11 degrees) and to some 0.01, along which most thin lines run; 0 where none stands
/// out. Each line counts by its length, however dark it is, so that much print outweighs a little pencil. Whether the
/// lines repeat is for the caller to test. Cut short when asked to stop.
double find_tilt(const Plane<float>& ink, const std::stop_token& stop);

/// The same picture with each column moved up by slope * x, to whole pixels: lines of that slope come out level. What
/// lies outside the picture is 0.
Plane<float> levelled(const Plane<float>& ink, double slope);

/// Takes back levelled().
Plane<float> tilted_back(const Plane<float>& level, double slope, int height);

}  // namespace batten
