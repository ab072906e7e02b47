#pragma once
// Stage: each turning of an outlined drawing read as two corners, one corner or a round, and weighed against the ink.
//
// 1. Candidates of find_corners closer than two bands are one place.
// 2. The drawing's own band (its ink across, how its strokes end at plain corners, how much ink a right reading leaves
//    over) is measured once for each band width.
// 3. At each place the three readings are drawn and fitted to the ink round it.
// 4. A few ratios of what they leave over, together with how abruptly the loop itself turns, give the probability of
//    each reading. The corners of the most likely one replace the candidates.

#include "corner_readings.h"
#include "find_corners.h"
#include "turn_steps.h"

namespace batten {

/// Result: for drawings without ink (polylines) and filled ones, `corners` as they were. Error: cancelled.
Result<Corners> weigh_corners(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                              Progress& progress);

/// One place with what is known about it; for the rule and for the program that measures it.
struct CornerPlace {
  std::size_t loop = 0;
  std::vector<std::size_t> candidates;  ///< of that loop
  double first_arc = 0, last_arc = 0;   ///< on the spaced loop
  double abruptness = 1, turn_deg = 0;  ///< of the most abrupt candidate; largest turn between the arms
  bool several = false;
  Reading one, two, round, tip;         ///< tip: `one` once more with arms that begin farther out, for acute turns
  TurnSteps steps;
  std::vector<double> evidence;         ///< see corner_evidence
};
std::vector<CornerPlace> corner_places(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                                       Progress& progress);

}  // namespace batten
