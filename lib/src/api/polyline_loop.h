#pragma once
// A polyline of the caller's becomes a loop, with what is known or found of its noise.

#include <optional>

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

/// Names what is wrong with polyline `index`, if something is.
std::optional<Error> check_polyline(const PolylineView& polyline, std::size_t index);

/// The loop of a polyline that was checked, moved by -origin. Noise that is new from sample to sample is smoothed away;
/// noise that is alike over several px stays, and the loop says how much it is (see alike_noise): where the caller does
/// not say, only as far as an outline within tolerance_px need not follow it.
Loop loop_of(const PolylineView& polyline, Point origin, double tolerance_px);

}  // namespace batten
