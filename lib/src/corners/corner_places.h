#pragma once
// Collects the candidates that belong together into places, and fits the hypotheses about each place to its ink.

#include "corners/corner_evidence.h"
#include "corners/find_corners.h"
#include "corners/fit_wedge.h"

namespace batten {

/// One place with what is known about it.
struct CornerPlace {
  std::size_t loop = 0;
  std::vector<std::size_t> candidates;  ///< of that loop, in order of arc
  double first_arc = 0, last_arc = 0;   ///< on the spaced loop
  double turn_deg = 0;                  ///< largest of the candidates
  double ink_peak = 0;                  ///< of the drawing's band; 0: there was nothing to measure it by
  bool read = false;                    ///< the hypotheses were fitted
  bool apart = false;                   ///< one of several candidates that together were no corner: looked at by itself
  PlaceFacts facts;
  CornerHypothesis tip;    ///< `one` again with arms that begin farther out; where the turn is acute or `one` failed
  CornerHypothesis wedge;  ///< one corner, its sides read where their bands have parted; where the turn is acute
};

/// Places of all pencil bands, loop by loop; candidates closer than two bands share one. Empty without ink.
/// `corners.relocated` must hold each loop. Stops early when the job is stopped.
std::vector<CornerPlace> corner_places(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                                       Progress& progress, int threads = 1);

}  // namespace batten
