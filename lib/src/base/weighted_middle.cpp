#include "base/weighted_middle.h"

#include <cmath>

namespace batten {

WeightedMiddle::WeightedMiddle(int count, double first_px, double step_px, double window_px)
    : first_px_(first_px), step_px_(step_px), precision_(1 / (window_px * window_px)) {
  for (int j = 0; j < count; ++j) {
    const double u = first_px + j * step_px;
    place_px_.push_back(u);
    window_.push_back(std::exp(-0.5 * u * u * precision_));
  }
}

double WeightedMiddle::operator()(const float* values) const {
  double centre = 0;
  for (int round = 0; round < 4; ++round) {
    // exp(-(u - c)^2 / 2 w^2) = exp(-u^2 / 2 w^2) exp(u c / w^2) exp(-c^2 / 2 w^2), the middle factor by
    // multiplication.
    const double ratio = std::exp(step_px_ * centre * precision_);
    double shifted = std::exp((first_px_ - 0.5 * centre) * centre * precision_), sum = 0, moment = 0;
    for (std::size_t j = 0; j < window_.size(); ++j, shifted *= ratio) {
      const double w = values[j] * window_[j] * shifted;
      sum += w, moment += w * place_px_[j];
    }
    if (sum <= 1e-9) break;
    centre = moment / sum;
  }
  return centre;
}

}  // namespace batten
