#pragma once
// Leaf of weigh_corners: what the ink of a band looks like across, at its ends, and round one place.

#include "base/loop_index.h"
#include "base/plane.h"

namespace batten {

/// Mean ink across a band, from -reach to +reach on even steps; 0 beyond.
struct BandProfile {
  std::vector<double> ink;  ///< 2 * half + 1 values
  double step_px = 1;
  int half = 0;
  double at(double across_px) const {
    const double u = across_px / step_px + half;
    if (!(u >= 0) || u >= 2 * half) return 0;
    const auto i = std::size_t(u);
    const double f = u - double(i);
    return (1 - f) * ink[i] + f * ink[i + 1];
  }
  double peak() const;
};

/// How the strokes of a side end at a corner: the share of their ink that is left at x beyond it is
/// Phi(-(x - start) / width), lengths in band widths. Hands lift before the corner and overshoot it now and then.
struct EndFade {
  double start_widths = -0.1, width_widths = 0.4;
};

/// The normal distribution function by table, as accurate as the ink (1e-4).
class NormalTable {
 public:
  NormalTable();
  double operator()(double x) const {
    const double u = (x + 4) * 64;
    if (!(u > 0)) return 0;
    if (u >= 512) return 1;
    const auto i = std::size_t(u);
    return table_[i] + (u - double(i)) * (table_[i + 1] - table_[i]);
  }

 private:
  std::vector<double> table_;
};

/// A line that a side follows towards a corner: a parabola; s grows towards the corner, s = 0 at `base`.
struct ArmLine {
  Point base, tangent;
  double curvature = 0;
  BandProfile profile;
  double length_px = 1e9;  ///< of the stretch that it was fitted to
};

/// Ink round a place, on a grid of band / 6, smoothed by a tenth of a band.
struct InkWindow {
  struct Sample {
    Point at;
    double ink;
  };
  std::vector<Sample> samples;
  Point centre;
};

/// A stretch of a loop round `arc`.
struct OwnStretch {
  int loop = 0;
  double arc = 0, back_px = 0, ahead_px = 0;
};

/// Places nearer to another loop, or to this one beyond the stretch, are left out: other corners lie there. `run_on`:
/// points of the arms run on beyond where the loop rounds them; they count as this stretch.
InkWindow ink_window(const Plane<float>& ink, const LoopIndex& loops, const OwnStretch& own, Point centre,
                     double band_px, double radius_px, const std::vector<Point>& run_on = {});

/// Mean ink across the places of `line` (points with unit tangents, in order of travel); not symmetric, base not taken
/// off. Empty if there are none.
struct LinePlace {
  Point at, tangent;
};
BandProfile profile_across(const Plane<float>& ink, const std::vector<LinePlace>& line, double band_px);

/// The profile made symmetric, what lies at its outer ends (the smudge between lines) subtracted.
BandProfile symmetric(const BandProfile& p);

}  // namespace batten
