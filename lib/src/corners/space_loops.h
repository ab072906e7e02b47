#pragma once
// Stage: located loops -> the same loops with even spacing and the lengths by which the curve stages measure.

#include <optional>
#include <vector>

#include "base/loop_index.h"
#include "base/loop_pins.h"
#include "base/loops.h"
#include "base/progress.h"
#include "batten/convert.h"

namespace batten {

/// A tolerance that is left to the drawing is never finer: below half a pixel a scan says little about places.
inline constexpr double finest_auto_tolerance_px = 0.5;
/// Points farther than 2.6 sigma off are expected once or twice in a loop of some hundred independent points: below
/// that a tolerance asks for the wobble of the pencil.
inline constexpr double known_sigmas = 2.6;
/// An outline that lies no farther off is not seen to have left its line, whatever the tolerance.
inline constexpr double unseen_px = 2;

/// What a loop follows. It decides how far its points can be trusted.
enum class LoopSort {
  pencil_band,  ///< the middle of a pencil line, which strays over several widths
  soft_edge,    ///< the edge of a shaded shape
  exact_edge    ///< the edge of a crisp shape, or a polyline: points are known to a fraction of a pixel
};

struct SpacedLoop {
  ArcLoop curve;
  Kind kind = Kind::outlined;
  double sigma_px = 0;                        ///< how far points waver, one standard deviation: what a fit allows for
  std::optional<double> known_sigma_px = {};  ///< as located; line_sigma_px says how nearly a line is known
  double band_px = 0;                         ///< W as measured; 6 for soft edges, 0 for exact ones
  double scale_px = 4.5;       ///< the length by which corners are judged: W, or what the spacing lets one see
  double rounding_px = 0;      ///< radius by which locating rounds a corner
  double correlation_px = 1;   ///< length over which errors are alike
  double waver_px = 0;         ///< 2.6 sigma_px: a finer fit follows the wobble
  double limit_px = 1;         ///< what the fit must hold: the tolerance, or waver_px where that is larger and counts
  double tolerance_px = 1;     ///< as asked; for `auto` 2.6 sigma, not below 0.5 px
  LineEnd start, end;          ///< of an open line
  Face face;                   ///< as it was seen
  bool is_drawn = false;       ///< somebody's outline: keeps its direction, and begins near `drawn_from`
  bool is_drawn_back = false;  ///< it runs against the loop
  double drawn_from = 0;       ///< arc at which it begins
  LoopPins pins;               ///< what was decided about it; empty for nearly all
  bool is_known = false;       ///< its corners and straights are those of a drawn curve, exact and not to be moved

  /// The one place that tells what sort of loop this is. Pencil lines are never measured thinner than 2 px.
  LoopSort sort() const {
    if (band_px < 2) return LoopSort::exact_edge;
    return kind == Kind::filled ? LoopSort::soft_edge : LoopSort::pencil_band;
  }
  /// The tolerance is held although the line wavers by more (Options::hold_tolerance).
  bool held_finer() const { return limit_px < waver_px; }
  bool exact() const { return sort() == LoopSort::exact_edge; }
  bool open() const { return curve.open(); }
};

struct SpacedLoops {
  std::vector<SpacedLoop> loops;         ///< closed ones first
  std::vector<LineRunsOn> runs_on = {};  ///< as located
  Point origin = {};                     ///< as located
  double unit_px = 1;                    ///< as located
};

/// px, of each loop: long ones take long.
std::vector<double> lengths_of(const SpacedLoops& loops);

/// All loops by place, in cells as wide as the widest band. `loops` must outlive it.
LoopIndex index_of(const SpacedLoops& loops);

/// How far to either side of a place its direction of travel is read: 3 px, and 0.7 widths more where locating has
/// averaged over about a width.
double tangent_window_px(const SpacedLoop& loop);

/// Error: cancelled.
Result<SpacedLoops> space_loops(const Loops& loops, const Options& options, Progress& progress);

/// Noise of a polyline from itself: 35th percentile over windows of the rms left by a local quadratic. An exact curve
/// gives nearly 0.
double polyline_sigma(const ArcLoop& loop, double half_window_px);

}  // namespace batten
