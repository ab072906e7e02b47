#pragma once
// How dark the printed lines of a lattice are and where exactly they run, strip by strip.

#include <vector>

#include "ink/fit_lattice.h"

namespace batten {

/// A track for each line of the lattice that is printed. What is drawn on a line only adds to it, so darkness is taken
/// to be that of the line times that of the place: a line's own from the palest tenth of its strips, the place's from
/// the lines around it. `gain` is darkness over lattice.amplitude_px and sinks to 0 where the print ends (margin,
/// hole).
std::vector<GuideTrack> follow_lattice(const Strips& strips, const Lattice& lattice);

}  // namespace batten
