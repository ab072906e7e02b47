#pragma once
// The line that a polyline with noise samples, and what is known of it.

#include <optional>
#include <span>
#include <vector>

#include "batten/geometry.h"

namespace batten {

struct SteadySamples {
  std::vector<Point> points;  ///< as many as were given
  double noise_px = 0;        ///< of the samples as given, one standard deviation
  double sigma_px = 0;        ///< of `points`
  double window_px = 0;       ///< to either side; corners are rounded by a third of it
};

/// px, one standard deviation in each coordinate of noise that is new from one sample to the next: from second and from
/// fourth differences, whichever tell less, so that neither bends nor corners count; for the contour of pixels at least
/// what rounding to whole numbers makes.
double sample_noise_px(std::span<const Point> points, bool closed);

/// Less noise the curve stages take for none.
inline constexpr double seen_noise_px = 0.04;

/// Each sample is moved onto the least-squares quadratic through its neighbours (A. Savitzky, M. J. E. Golay,
/// "Smoothing and differentiation of data by simplified least squares procedures", Analytical Chemistry 36, 1964), over
/// as many of them as bring the noise down to a tenth of a px. Ends of open polylines stay. Nothing where there is less
/// noise than that, too few samples, or samples unevenly spaced. sigmas_px: the noise of each sample, which then counts
/// by the inverse of its variance; empty: measured, alike for all.
std::optional<SteadySamples> steady_samples(std::span<const Point> points, bool closed,
                                            std::span<const double> sigmas_px = {});

}  // namespace batten
