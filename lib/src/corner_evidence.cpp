#include "corner_evidence.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

double log_ratio(double a, double b) { return std::clamp(std::log(std::max(a, 1e-9) / std::max(b, 1e-9)), -2.5, 2.5); }

// Softmax of a linear rule. The weights are for "no corner" and "two corners" against "one corner"; bench/learn_corners
// fitted them (ridge 1 on the standardised evidence) to 560 drawings of 16 open fonts in four hands by the generator of
// bench/support. With the font left out that is judged, 3550 of 3757 single corners were told, 305 of 602 pairs (many
// of them with sides below one band, which no eye can tell), and 513 of 2536 turns without a corner were called one or two.
// Lengths are in band widths, so no weight knows a scale.
struct Row {
  double none, two;
};
constexpr std::array<Row, evidence_count> rows = {{
    {-1.51, -2.70},  // ink: round against one
    {-2.57, 0.72},  // ink: round against two
    {1.56, 1.16},  // direction: one narrow step against two
    {-1.76, -0.25},  // direction: one free step against two
    {2.37, -0.23},  // abruptness of the loop's own turn
    {-3.91, 2.58},  // turn, right angles
    {0.73, -0.47},  // short side, widths
    {1.83, 0.45},  // the smaller of its two turns, rad
    {1.47, 1.00},  // ink of the short side over that of a band
    {2.07, 0.79},  // more than one candidate
    {1.40, -1.59},  // arms do not meet: a turn right back
    {3.99, -1.15},  // arms do not meet: a step
}};
constexpr Row constant = {-2.21, -7.53};

}  // namespace

Evidence evidence_of(const PlaceFacts& f) {
  const bool met = f.one.valid;
  constexpr double angle_floor = 1e-4;  // rad^2: less is the grid of the loop's points
  const Point side = f.two.second - f.two.first;
  const double t1 = turn_between(f.two.into, side), t2 = turn_between(side, f.two.out_of);
  const bool back = t1 * t2 < 0;  // a step in a side: its arms run alike and never meet
  const double turn = met ? std::abs(turn_between(f.one.into, f.one.out_of)) : back ? pi / 2 : std::abs(t1 + t2);
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
