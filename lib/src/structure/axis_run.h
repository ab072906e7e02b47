#pragma once
// Part of straightening: how far a stretch of loop keeps to one level or vertical line.

#include "corners/space_loops.h"

namespace batten {

struct AxisRun {
  double from = 0, to = 0;  ///< arcs, to > from, unwrapped
  double at_px = 0;         ///< the shared coordinate: x of a vertical line, y of a level one
  double worst_px = 0;      ///< largest distance of a located point from the line
  double tilt_deg = 0;      ///< of the least-squares line through the run, against the axis; signed
  double growth = 1;        ///< length of the run at 2.5 times the distance over its length
  double bow_px = 0;        ///< height of the parabola through the run over its chord, signed
  /// How far the run reaches into the round behind either end: an arc that leaves a line parts from it by the square of
  /// the way, so that the overhang grows by 0.58 when the distance grows by 2.5.
  double over_from_px = 0, over_to_px = 0;
  double length_px() const { return to - from; }
};

/// The longest run round `seed` (an arc in [low, high]) whose points stay within reach_px of one line; low and high are
/// never passed. A run of no length where the seed itself does not hold.
AxisRun axis_run(const SpacedLoop& loop, bool vertical, double low, double high, double seed, double reach_px);

/// Slope of the least-squares line through the points on arcs [from, to] against the axis, degrees, signed.
double tilt_of_run_deg(const SpacedLoop& loop, bool vertical, double from, double to);

/// One standard deviation of that slope, degrees: errors are alike over a correlation length, so that a run of length L
/// holds L / 2c independent points, two at least; sigma sqrt(12 / n) / L for points evenly along it (Press et al.,
/// "Numerical Recipes in C", 2nd edition, 1992, 15.2).
double tilt_sd_deg(const SpacedLoop& loop, double length_px);

/// One standard deviation of the bow of a straight run, px. With n independent points it is 3.35 sigma / sqrt(n), the
/// error of a quadratic's height; a run of few correlation lengths can bow no further than its points scatter.
double bow_sd_px(const SpacedLoop& loop, double length_px);

}  // namespace batten
