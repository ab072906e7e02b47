#pragma once
// Noise of a polyline that is alike over many samples, so that no difference of neighbours shows it.

#include "base/arc_loop.h"

namespace batten {

struct AlikeNoise {
  double sigma_px = 0;   ///< one standard deviation across the line; 0: none was found
  double length_px = 0;  ///< length over which it is alike, about
};

/// From how far windows of a line stray from the cubic fitted to them, as the windows grow. Noise shows in every
/// window, so a tenth of them that strays least tells it; and it grows ever more slowly with the window, where a bend
/// grows with its fourth power and a corner at once. What is less than 0.1 px, or not told from shape, is none. Points
/// are evenly spaced.
AlikeNoise alike_noise(const ArcLoop& line);

}  // namespace batten
