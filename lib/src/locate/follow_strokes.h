#pragma once
// The line that runs as the strokes run, where the middle of the ink would step from stroke to stroke.

#include <vector>

#include "locate/profile.h"

namespace batten {

/// Over shorter ways, in widths of the line, the direction of the strokes places it, over longer ones the middle of
/// their ink. A stroke lies off the middle by about a fifth of W, and its direction is off by as much over its own
/// length, which is ten W and more: there the two know equally much. 8 W is 2 % worse and 18 W 5 % (mean rms of
/// drawings of many strokes, 12 typefaces).
inline constexpr double follow_widths = 12;

/// A single line has no ends along a side, so both say the same and nothing is gained: they differ by 0.005 to 0.0145 W
/// (rms) in single lines, mostly by grain, and by 0.012 to 0.09 W in bundles of strokes (280 loops of 12 typefaces).
inline constexpr double one_stroke_widths = 0.016;

/// Root of the mean square of a - b, weighted.
double rms_difference(const std::vector<double>& a, const std::vector<double>& b, const std::vector<double>& weights);

/// du/ds of the ink in each row, by least squares over the row: -sum(I_s I_u) / sum(I_u^2), both sums averaged along
/// the loop (Lucas & Kanade 1981; Kass & Witkin 1987 for oriented patterns). Rows lie row_px apart along the loop.
/// `along_px`: standard deviation of the average along it, of the ink before and of the sums after. Cells that hold 0
/// (cut off, or paper) do not count. 0 where nothing is left.
std::vector<double> stroke_slopes(Profiles profiles, double row_px, double along_px);

/// The shift d of each row of a closed loop that makes
///   sum (d_i - middle_i)^2 / crossover_px^2 + sum linked_i ((d_i+1 - d_i) / row_px - slope_i+1/2)^2
/// smallest (a screened Poisson equation in one dimension; Bhat, Curless, Cohen & Zitnick 2008): over stretches shorter
/// than crossover_px the slopes decide, over longer ones the middles. `linked`: 0..1, how far row i and the next one
/// are known to be one line.
std::vector<double> follow_slopes(const std::vector<double>& middles, const std::vector<double>& slopes,
                                  const std::vector<double>& linked, double row_px, double crossover_px);

/// How far each point of a closed loop and the next one belong to one side, from its normals (1 px apart): 1 where it
/// runs straight, 1/2 where it turns by 34 degrees within W, under 1/20 from a radian on, a corner or as good as one:
/// the strokes of one side say nothing about the next. The sharpest turn within 0.75 W counts.
std::vector<double> links_along(const std::vector<Point>& normals, double band_px);

}  // namespace batten
