#pragma once
// Pale straight lines across a drawing: set out before it, in any direction.

#include <stop_token>
#include <vector>

#include "base/vec.h"
#include "ink/pale_view.h"

namespace batten {

/// A straight line of the paper, between its ends. Grid coordinates.
struct PaleLine {
  Point from, to;
  double darkness = 0;  ///< ink at its middle where it is bare, 0..1
  int crossings = 0;    ///< how often it runs across or along what was drawn
  double length_px() const { return norm(to - from); }
};

struct Construction {
  std::vector<PaleLine> lines;
  double drawn_level = 0;  ///< how dark what was drawn is, 0..1
};

/// Lines that are paler than a quarter of what was drawn, straight to a pixel or two, as long as three tenths of the
/// picture, and that run across what was drawn and end by themselves: a drawn line that fades, or the side of a frame,
/// is not all this at once. None where there are more than a few: those are shading. Cut short when asked to stop.
Construction find_construction(PaleView view, const std::stop_token& stop);

}  // namespace batten
