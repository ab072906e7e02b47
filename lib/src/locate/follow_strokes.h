#pragma once
// The line that runs as the strokes run, where the middle of the ink would step from stroke to stroke.

#include <vector>

#include "locate/profile.h"

namespace batten {

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
