#pragma once
// The middle of a profile of ink, seen through a soft window that settles on it.

#include <vector>

namespace batten {

/// Middle of rows of `count` values at first_px, first_px + step_px ...: the mean place, weighted by value and by a
/// Gaussian of standard deviation window_px about the last mean, four times over; begins at 0.
class WeightedMiddle {
 public:
  WeightedMiddle(int count, double first_px, double step_px, double window_px);
  /// 0 where nothing is left in the window.
  double operator()(const float* values) const;

 private:
  std::vector<double> place_px_, window_;  // the window about 0
  double first_px_, step_px_, precision_;  // 1 / window_px^2
};

}  // namespace batten
