#pragma once
// Pale exact circles under or across a drawing: set out with compasses before it, or left by the foot of a cup.

#include <stop_token>
#include <vector>

#include "base/vec.h"
#include "ink/pale_view.h"

namespace batten {

/// A whole circle, or what of it lies within the picture. Grid coordinates.
struct PaleCircle {
  Point centre;
  double radius_px = 0;
  double width_px = 0;  ///< of the line at half its darkness
  double darkness = 0;  ///< ink at its middle where it is bare, 0..1
};

/// Over the level of what was drawn: what is darker hides a circle.
inline constexpr double circle_share = 0.55;

struct Circles {
  std::vector<PaleCircle> circles;
  double drawn_level = 0;  ///< how dark what was drawn is, 0..1
};

/// Circles from 0.04 to 0.5 of the longer side of the picture that are exact to a pixel, show nearly all round wherever
/// nothing was drawn on them, are of one darkness, and paler than half of what was drawn. Without compasses or a cup
/// nobody draws so exactly, and what is drawn to be seen is not so pale. None where there are more than a few. Cut
/// short when asked to stop.
Circles find_circles(PaleView view, const std::stop_token& stop);

}  // namespace batten
