#pragma once
// Lined and squared paper is taken out of the ink.

#include <stop_token>

#include "ink/find_guides.h"

namespace batten {

/// Takes printed lines out in both directions and returns how many there were: a dozen lines at one pitch (eight
/// where they are as even as only print is), or five each way that make squares, level within 11 degrees, straight or
/// on a sheet that is bent. They are taken out whole, also where they were drawn over. `strips` and `tracks` are those
/// of the ink. Cut short (and what it leaves is to be thrown away) when asked to stop.
std::size_t subtract_print(const Strips& strips, const std::vector<GuideTrack>& tracks, double noise,
                           const std::stop_token& stop, Plane<float>* ink);

}  // namespace batten
