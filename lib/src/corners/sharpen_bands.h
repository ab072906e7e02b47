#pragma once
// Locates the middle of a band once more, with a shorter average along it, so that corners show.

#include <stop_token>

#include "base/loop_index.h"
#include "base/plane.h"

namespace batten {

/// The loop located again with an average along it of half a band width only. Position along a side wants a long
/// average (its errors are slow, a longer one costs nothing); at a corner a long one rounds the turn, and a rounded
/// corner looks like a round. The result is noisier and sharper: for judging turns, not for fitting.
/// `loops` indexes all loops of the sheet, `which` is this one; ink in grid coordinates, ink_noise its standard
/// deviation on bare paper. When asked to stop it returns soon, and what it returns is to be thrown away.
ArcLoop sharpened_band(const ArcLoop& loop, int which, double band_px, const LoopIndex& loops, const Plane<float>& ink,
                       double ink_noise, const std::stop_token& stop = {});

}  // namespace batten
