#pragma once
// Measures how far a stretch of loop keeps to one level or vertical line.

#include "corners/space_loops.h"

namespace batten {

struct AxisRun {
  double from = 0, to = 0;  ///< arcs, to > from, unwrapped
  double at_px = 0;         ///< the shared coordinate: x of a vertical line, y of a level one
  double worst_px = 0;      ///< largest distance of a located point from the line
  double tilt_deg = 0;      ///< of the least-squares line through the run, against the axis; signed
  double growth = 1;        ///< length of the run at 2.5 times the distance over its length
  double bow_px = 0;        ///< height of the parabola through the run over its chord, signed
  /// How far the run extends into the round behind either end. An arc that leaves a line parts from it by the square of
  /// the distance gone, so that the overhang grows by 0.58 when the distance from the line grows by 2.5.
  double over_from_px = 0, over_to_px = 0;
  double length_px() const { return to - from; }
};

/// The longest run round `seed` (an arc in [low, high]) whose points stay within off_px of one line; low and high are
/// never passed. The run has no length where the points at the seed do not hold.
AxisRun axis_run(const SpacedLoop& loop, bool vertical, double low, double high, double seed, double off_px);

/// Slope of the least-squares line through the points on arcs [from, to] against the axis, degrees, signed.
double tilt_of_run_deg(const SpacedLoop& loop, bool vertical, double from, double to);

/// One standard deviation of that slope, degrees: sigma sqrt(12 / n) / L for n independent points evenly along a run of
/// length L (Press et al., Numerical Recipes, 3rd edition 2007, section 15.2). Errors are alike over a correlation
/// length c, so that n is L / 2c, and two at least.
double tilt_sd_deg(const SpacedLoop& loop, double length_px);

/// One standard deviation of the bow of a straight run, px: 3.35 sigma / sqrt(n) with n independent points, the error
/// of a quadratic's height. A run of few correlation lengths can bow no further than its points scatter.
double bow_sd_px(const SpacedLoop& loop, double length_px);

}  // namespace batten
