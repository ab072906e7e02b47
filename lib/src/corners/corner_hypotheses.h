#pragma once
// Three hypotheses about one place - one corner, two corners with a short side between, no corner - each drawn with the
// band's own ink and fitted to the ink that is there.

#include "corners/ink_model.h"

namespace batten {

/// A hypothesis after its fit. Arms were free to shift and tilt a little: the ink near the corner decides where they
/// run.
struct CornerHypothesis {
  bool valid = false;
  double square_sum = 0;  ///< of ink left over on the window's samples
  double loss = 0;        ///< square_sum in units of independent samples, plus what the freedom of the arms cost
  Point first, second;    ///< the corner (both), the two corners, or where the round begins and ends
  Point into, out_of;     ///< unit directions of travel of the arms there
  double fused_px = 0;    ///< of a wedge: how far along its sides from the loop's end their bands are one
  double amplitude = 1;   ///< ink of the short side or the round over that of the drawing's bands
};

/// Degrees from one arm to the other, 0..180.
inline double turn_of(const CornerHypothesis& h) { return std::abs(degrees(turn_between(h.into, h.out_of))); }

CornerHypothesis fit_one_corner(const CornerScene& scene);
CornerHypothesis fit_two_corners(const CornerScene& scene);
CornerHypothesis fit_round(const CornerScene& scene);

/// Mean square of what one corner leaves where the arms run as located, with a given fade: for finding a drawing's own
/// fade. Negative where the arms do not meet.
double one_corner_residual(const CornerScene& scene, const EndFade& fade);

}  // namespace batten
