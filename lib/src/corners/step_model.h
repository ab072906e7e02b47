#pragma once
// Directions along a stretch of a loop, described by a level, a slow bend, and one or two steps.

#include <Eigen/Core>
#include <vector>

namespace batten {

/// What a description leaves over, and the height of its (first) step.
struct StepFit {
  double mean_square_rad2 = 0, turn_rad = 0;
};

/// Linear least squares for steps whose places and widths are given. The bend is held to 0 by a ridge of 2 % of the
/// points: it takes only what the steps can't explain.
class StepModel {
 public:
  /// Directions theta_rad (unwrapped) at places_px. The bend is counted in rad per scale_px.
  StepModel(const std::vector<double>& places_px, const std::vector<double>& theta_rad, double scale_px);

  /// A step of height 1 at those places: the normal distribution function about centre_px, standard deviation width_px.
  Eigen::VectorXd step(double centre_px, double width_px) const;

  StepFit fit(const Eigen::VectorXd& step) const;
  StepFit fit(const Eigen::VectorXd& first, const Eigen::VectorXd& second) const;

 private:
  Eigen::VectorXd places_, ones_, slope_, theta_;
};

}  // namespace batten
