#include "corners/turn_steps.h"

#include <algorithm>

#include "corners/step_model.h"

namespace batten {
namespace {

constexpr double narrow_widths = 0.3;
constexpr double wide_widths[] = {0.15, 0.3, 0.45, 0.65, 0.9, 1.2, 1.6, 2.1};
constexpr double least_gap_widths = 0.4;

}  // namespace

TurnSteps turn_steps(const ArcLoop& loop, double arc, double back_px, double ahead_px, double band_px) {
  const double h = std::max(loop.step_px, band_px / 10);
  std::vector<double> places, theta;
  for (double x = -back_px; x <= ahead_px; x += h) {
    const double a = angle_of(loop.at(arc + x + 0.5 * h) - loop.at(arc + x - 0.5 * h));
    theta.push_back(theta.empty() ? a : theta.back() + wrap_angle(a - theta.back()));
    places.push_back(x);
  }
  const StepModel model(places, theta, band_px);
  std::vector<double> centres;
  std::vector<Eigen::VectorXd> narrow;
  for (double c = -0.8 * back_px; c <= 0.8 * ahead_px; c += band_px / 8) {
    centres.push_back(c);
    narrow.push_back(model.step(c, narrow_widths * band_px));
  }
  TurnSteps out{1e300, 1e300, 1e300};
  for (std::size_t i = 0; i < centres.size(); ++i) {
    out.one = std::min(out.one, model.fit(narrow[i]).mean_square_rad2);
    for (double width : wide_widths)
      out.free = std::min(out.free, model.fit(model.step(centres[i], width * band_px)).mean_square_rad2);
    for (std::size_t j = i + 1; j < centres.size(); ++j)
      if (centres[j] - centres[i] >= least_gap_widths * band_px)
        out.two = std::min(out.two, model.fit(narrow[i], narrow[j]).mean_square_rad2);
  }
  out.two = std::min(out.two, out.one), out.free = std::min(out.free, out.one);
  return out;
}

}  // namespace batten
