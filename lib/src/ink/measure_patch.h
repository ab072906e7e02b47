#pragma once
// Figures of one patch of ink that tell a pencil line from a shaded shape.

#include <cstdint>
#include <stop_token>

#include "base/plane.h"
#include "batten/geometry.h"

namespace batten {

struct PatchMeasure {
  double top = 0;                  ///< level of its ink: upper quartile over the ink, 0..1
  double band_px = 0;              ///< W: upper quartile of thickness along the middle of the ink
  double typical_px = 0;           ///< median of thickness along the middle of the ink
  double largest_px = 0;           ///< largest thickness
  double edge_over_thickness = 0;  ///< width of the edge's slope / typical thickness: small where ink has a plateau
  double edge_over_largest = 0;    ///< the same against the largest thickness
  double grain = 0;                ///< scatter of the ink inside, 1 sigma; 0 for crisp pictures
  double area_px2 = 0;
  bool crisp = false;  ///< printed or drawn by a program: no grain on the paper or in the ink (2 %) to smooth away
};

/// What counts as ink of a patch, as a share of its level; what pale lines do not reach that lead up to a solid shape.
inline constexpr double least_ink = 0.3, paler_than_solid = 0.6;

/// ink: one patch, 0 elsewhere. noise: of bare paper. smoothing_px: standard deviation to see through paper grain.
/// least_share: of its level, less is no ink. When asked to stop it returns soon, and what it returns is to be thrown
/// away.
PatchMeasure measure_patch(const Plane<float>& ink, double noise, double smoothing_px, const std::stop_token& stop = {},
                           double least_share = least_ink);

/// Was the sheet printed or drawn by a program, by the noise of its bare paper? Less than one of 255 steps.
inline bool is_crisp_scan(double noise) { return noise < 0.004; }

/// 0 a perfect plateau .. about 0.6 a line without one: geometric mean of (edge over thickness) and (scatter of the ink
/// in the middle two fifths over its level). Shaded shapes measured 0.04 to 0.11 (0.2 where only 14 px thick), lines
/// and bundles 0.22 to 0.62, in some 550 drawings of known kind. The largest thickness alone is fooled by places where
/// two bands fuse, the typical one by letters with thin strokes: so edge over thickness is itself the mean of both.
double unevenness(const PatchMeasure& measure);

/// Outlined or filled, by unevenness and by how thin it is for its length; up to 9 px typical thickness always
/// outlined. Crisp patches are fills unless they are thin (8 px at most, 3 % of the longer side) and of one width
/// throughout, like a pen line scanned in black and white.
Kind kind_of(const PatchMeasure& measure, int longest_px);

/// May a patch that is filled by itself be a line of the same pencil as another that is outlined? Lines of one drawing
/// are about equally thick, and a ring in a blunt soft lead can be as even as thin shading (0.20, both counters of a B
/// whose outer line was 0.18). The other has to hold at least as much ink; what is as even as only shapes are stays.
bool is_line_beside(const PatchMeasure& measure, const PatchMeasure& outlined);

/// Pale lines that hang on a solid shape make most of its middle thin. Has the patch places so thick that this may be
/// so?
bool has_thick_places(const PatchMeasure& measure);
/// Is that so? dark: the patch measured with paler_than_solid. What is left without the pale lines is a filled shape
/// then (as even as 0.03 to 0.09; letters and whole sheets of lines left 0.19 and more), and nearly all of the ink
/// (0.87 to 0.95).
bool is_solid_with_lines(const PatchMeasure& dark, const PatchMeasure& all, int longest_px);

/// Above this level smoothed ink is ink: seven standard deviations of white noise left by a Gaussian of 1.2 px (which
/// keeps 1/(2 sqrt(pi) 1.2) = 0.24 of it), and never below 4 %.
double ink_threshold(double noise);

}  // namespace batten
