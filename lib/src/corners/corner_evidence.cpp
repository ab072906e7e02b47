#include "corners/corner_evidence.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

double log_ratio(double a, double b) { return std::clamp(std::log(std::max(a, 1e-9) / std::max(b, 1e-9)), -2.5, 2.5); }

// Softmax of a linear rule. The weights are for "no corner" and "two corners" against "one corner"; bench/learn_corners
// fitted them (ridge 1 on the standardised evidence) to 560 drawings of 16 open fonts in four hands by the generator of
// bench/support. With the font left out that is judged, 3602 of 3747 single corners were told, 299 of 603 pairs (many
// of them with sides below one band, which no eye can tell), and 494 of 1568 turns without a corner were called one or
// two (one from 0.35 of one and none on). Lengths are in band widths, so no weight knows a scale.
struct OddsWeights {
  double none, two;
};
constexpr std::array<OddsWeights, evidence_count> rows = {{
    {-1.36, -2.58},  // ink: round against one
    {-3.27, 0.58},   // ink: round against two
    {1.56, 1.25},    // direction: one narrow step against two
    {-1.79, -0.47},  // direction: one free step against two
    {2.31, 0.27},    // abruptness of the loop's own turn
    {-3.37, 2.86},   // turn, right angles
    {0.80, -0.33},   // short side, widths
    {2.00, 0.35},    // the smaller of its two turns, rad
    {1.47, 0.97},    // ink of the short side over that of a band
    {1.87, 0.33},    // more than one candidate
    {1.35, -1.74},   // arms do not meet: a turn right back
    {7.63, -1.07},   // arms do not meet: a step
}};
constexpr OddsWeights constant = {-2.72, -7.95};

}  // namespace

Evidence evidence_of(const PlaceFacts& f) {
  const bool met = f.one.valid;
  constexpr double angle_floor = 1e-4;  // rad^2: less is the grid of the loop's points
  const Point side = f.two.second - f.two.first;
  const double t1 = turn_between(f.two.into, side), t2 = turn_between(side, f.two.out_of);
  const bool back = t1 * t2 < 0;  // a step in a side: its arms run alike and never meet
  const double turn = met ? radians(turn_of(f.one)) : back ? pi / 2 : std::abs(t1 + t2);
  return {
      met ? log_ratio(f.round.square_sum, f.one.square_sum) : -1.0,
      log_ratio(f.round.square_sum, f.two.square_sum),
      log_ratio(f.steps.one + angle_floor, f.steps.two + angle_floor),
      log_ratio(f.steps.free + angle_floor, f.steps.two + angle_floor),
      std::min(f.abruptness, 1.3),
      turn / (pi / 2),
      std::min(norm(side) / f.band_px, 3.0),
      std::min({std::abs(t1), std::abs(t2), 1.2}),
      f.two.amplitude,
      f.several ? 1.0 : 0.0,
      !met && !back ? 1.0 : 0.0,
      !met && back ? 1.0 : 0.0,
  };
}

CornerOdds odds_of(const Evidence& evidence) {
  double none = constant.none, two = constant.two;
  for (std::size_t i = 0; i < evidence_count; ++i) none += rows[i].none * evidence[i], two += rows[i].two * evidence[i];
  const double top = std::max({none, 0.0, two});
  const double a = std::exp(none - top), b = std::exp(-top), c = std::exp(two - top);
  return {a / (a + b + c), b / (a + b + c), c / (a + b + c)};
}

}  // namespace batten
