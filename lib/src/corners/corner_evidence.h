#pragma once
// The probability of each hypothesis about a place, from what the three leave over.

#include <array>

#include "corners/corner_hypotheses.h"
#include "corners/turn_steps.h"

namespace batten {

/// What is known about one place.
struct PlaceFacts {
  CornerHypothesis one, two, round;
  TurnSteps steps;
  double band_px = 1;
  double abruptness = 1;  ///< of the most abrupt candidate
  bool several = false;   ///< more than one candidate
};

inline constexpr std::size_t evidence_count = 12;
using Evidence = std::array<double, evidence_count>;

/// Ratios of ink and of angle left over, and the shapes of the hypotheses; see the table in the source. Needs valid
/// `two` and `round`.
Evidence evidence_of(const PlaceFacts& facts);

struct CornerOdds {
  double none = 0, one = 0, two = 0;  ///< sum 1
};
CornerOdds odds_of(const Evidence& evidence);

/// Odds from which a place is called two corners, and one rather than none (a share of both). A wrong second corner
/// costs more than a missed one: two nodes and a side that is not there. Between one corner and none the costs are
/// about even, and the refinement may still find the place smooth. On 4200 places of other drawings 0.25 lost 21
/// corners and made 387 other turns sharp, 0.3 lost 22 and made 354 sharp, 0.35 lost 31 and made 334 sharp; most of
/// those are rounds hardly wider than the band.
inline constexpr double two_from = 0.43, one_from = 0.3;

}  // namespace batten
