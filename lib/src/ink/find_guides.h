#pragma once
// Where ruled lines run across a sheet, strip by strip.

#include <stop_token>
#include <vector>

#include "base/plane.h"

namespace batten {

/// Means over columns of strip_px pixels: a line that is fainter than the grain shows in them.
struct Strips {
  Plane<float> mean;   ///< row y, strip s
  Plane<float> sharp;  ///< mean less its median over 11 rows: only thin level things are left
  double noise = 0;    ///< standard deviation of `sharp`
  static constexpr int strip_px = 32;
  double middle_px(int s) const { return s * strip_px + (strip_px - 1) / 2.; }
};
Strips strips_of(const Plane<float>& ink);

/// A level line followed from strip to strip.
struct GuideTrack {
  std::vector<double> y_px;          ///< of each strip, grid coordinates
  std::vector<double> gain;          ///< darkness of each strip over the mean of those where it was seen
  std::vector<bool> seen;            ///< strips where the bare line shows, nothing drawn on it
  double amplitude_px = 0;           ///< ink summed across the line: darkness times width
  double at_zero_px = 0, slope = 0;  ///< straight line through the strips where it was seen
};

/// A value for each strip: mean over the strips that were seen, weighted by a Gaussian of `spread` strips, of wider
/// ones where none is near.
std::vector<double> filled_in(const std::vector<double>& of_strip, const std::vector<bool>& seen, double spread);

/// Lines by their sum over sheared rows, slopes within +-0.04, followed strip by strip. Candidates only: what else they
/// must show is for the caller to test. Cut short when asked to stop.
std::vector<GuideTrack> find_guides(const Strips& strips, const std::stop_token& stop);

}  // namespace batten
