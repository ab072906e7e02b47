#pragma once
// Where the lines of printed paper must run, since they repeat at one pitch.

#include <optional>
#include <vector>

#include "ink/find_guides.h"

namespace batten {

struct Lattice {
  double pitch_px = 0;
  double amplitude_px = 0;  ///< ink summed across a bare line: median over the lines
  std::size_t found = 0;    ///< lines that were found before it was known where to look
  double uneven = 0;        ///< typical distance of those from the polynomial, in pitches
  /// Of each line that crosses the picture, for each strip; also of lines that were drawn over from end to end.
  std::vector<std::vector<double>> y_px;
};

/// Fits place = polynomial(number of the line, place along it), so that the sheet may lie askew, in perspective or
/// bent. Lines that fit no whole number are left out: they were drawn. Empty unless least_lines fit, more than half of
/// those that would stand between the first and the last, and typically within 6 % of the pitch.
std::optional<Lattice> fit_lattice(const Strips& strips, const std::vector<GuideTrack>& tracks,
                                   std::size_t least_lines);

}  // namespace batten
