#pragma once
// The ink of pencil bands: across a band, beyond the ends of its strokes, and in a window round one place.

#include "base/loop_index.h"
#include "base/plane.h"

namespace batten {

/// Mean ink across a band at even steps, from `half` steps to its right to `half` to its left; 0 beyond.
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

/// How a drawing's bands look: what all loops of one band width share.
struct PencilInk {
  double band_px = 0;
  BandProfile profile;  ///< empty: there was nothing to measure it by
  EndFade fade;
  double sample_variance = 0;  ///< of the ink that a right hypothesis leaves over, per sample
  NormalTable normal;
  /// The share of ink that is left beyond_px past the end of a side whose strokes end so.
  double left_beyond(double beyond_px, const EndFade& e) const {
    return normal(-(beyond_px / band_px - e.start_widths) / e.width_widths);
  }
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
inline constexpr std::size_t too_few_samples = 60;  ///< hold hardly more than one independent one

/// A stretch of a loop round `arc`.
struct OwnStretch {
  int loop = 0;
  double arc = 0, back_px = 0, ahead_px = 0;
};

/// Places nearer to another loop, or to this one beyond the stretch, are left out: other corners lie there. `run_on`:
/// points of the arms continued to where the loop rounds them; they count as this stretch.
InkWindow ink_window(const Plane<float>& ink, const LoopIndex& loops, const OwnStretch& own, Point centre,
                     double band_px, double radius_px, const std::vector<Point>& run_on = {});

/// A place of a line and its unit direction of travel.
struct LinePlace {
  Point at, tangent;
};

/// Mean ink across the places of `line`, out to 1.5 bands; what lies at its outer ends is still in. Empty if there are
/// no places.
BandProfile profile_across(const Plane<float>& ink, const std::vector<LinePlace>& line, double band_px);

/// The profile made symmetric, with what lies at its outer ends (the smudge between lines) subtracted.
BandProfile symmetric(const BandProfile& p);

/// Mean ink across the first 3.5 bands of a side: its own within one width, since strokes of one side keep their offset
/// that long; the drawing's beyond, where neighbours may lie, and a fifth of it within. The drawing's alone where the
/// line has fewer than four places.
inline constexpr double profile_widths = 3.5;
BandProfile side_profile(const Plane<float>& ink, const std::vector<LinePlace>& line, const PencilInk& pencil);

/// A corner needs ink of a quarter of its band within 0.6 widths.
inline constexpr double tip_near_widths = 0.6, tip_ink_share = 0.25;
/// The most ink, averaged over five pixels, within a radius; p in page coordinates.
double ink_near(const Plane<float>& ink, Point p, double radius_px);

/// Weights of a Gaussian at 0, 1 .. radius steps from its middle; both sides together sum to 1.
std::vector<float> half_gaussian(double sigma_steps, std::size_t radius);

}  // namespace batten
