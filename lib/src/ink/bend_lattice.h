#pragma once
// A sheet that does not lie flat: the lines of a lattice are bent to where they were printed.

#include <stop_token>

#include "ink/fit_lattice.h"

namespace batten {

/// Moves each line, strip by strip, to where it and its neighbours fit the picture best. It starts where the lattice
/// fits and goes on from there, so that no line takes the place of the next. A lattice that fits
/// everywhere to a pixel is not bent. Lines go on evenly to the edges of the picture. Cut short (and to be thrown away)
/// when asked to stop.
Lattice bend_lattice(const Strips& strips, Lattice lattice, const std::stop_token& stop);

}  // namespace batten
