#pragma once
// The ink across a printed or ruled line, measured where it is bare and taken out where it runs.

#include <vector>

#include "ink/find_guides.h"

namespace batten {

/// The ink across lines, in even bins, per unit of gain and less the paper beside them. It is the median over strips,
/// so that what was drawn beside a line in some of them does not count. `beside_paper_only`: strips without paper
/// beside the line do not count, as in shading.
std::vector<double> profile_of(const std::vector<const GuideTrack*>& tracks, const Strips& strips,
                               const Plane<float>& ink, bool beside_paper_only = false);

/// Takes a line of that profile out of the ink; what was drawn over it keeps its own.
void subtract_line(const GuideTrack& track, const std::vector<double>& profile, const Strips& strips, double noise,
                   Plane<float>* ink);

}  // namespace batten
