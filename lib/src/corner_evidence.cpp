#include "corner_evidence.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

double log_ratio(double a, double b) { return std::clamp(std::log(std::max(a, 1e-9) / std::max(b, 1e-9)), -2.5, 2.5); }

// Softmax of a linear rule. The weights are for "no corner" and "two corners" against "one corner"; they were fitted
// (ridge 1 on the standardised evidence) by bench/learn_corners to 560 drawings of 16 open fonts in four hands, made by
// the generator of bench/support, and tried on other fonts. Lengths in band widths, so no weight knows a scale.
struct Row {
  double none, two;
};
constexpr std::array<Row, evidence_count> rows = {{
    {-0.55, -1.21},  // ink: round against one
    {-2.76, -0.10},  // ink: round against two
    {1.74, 1.41},  // direction: one narrow step against two
    {-2.13, -0.46},  // direction: one free step against two
    {2.64, 1.58},  // abruptness of the loop's own turn
    {-3.50, 4.21},  // turn, right angles
    {0.34, 0.10},  // short side, widths
    {0.93, 0.89},  // the smaller of its two turns, rad
    {1.09, 0.68},  // ink of the short side over that of a band
    {2.85, -0.19},  // more than one candidate
    {6.50, -0.89},  // arms do not meet
}};
constexpr Row constant = {-1.63, -10.22};

}  // namespace

Evidence evidence_of(const PlaceFacts& f) {
  const bool met = f.one.valid;
  constexpr double angle_floor = 1e-4;  // rad^2: less is the grid of the loop's points
  const double turn = met ? std::abs(turn_between(f.one.into, f.one.out_of)) : pi;
  const Point side = f.two.second - f.two.first;
  const double t1 = turn_between(f.two.into, side), t2 = turn_between(side, f.two.out_of);
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
      met ? 0.0 : 1.0,
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
