#include "structure/pin_reach.h"

#include <algorithm>

#include "corners/find_corners.h"

namespace batten {

double pin_reach_px(const SpacedLoop& loop) { return std::max(24.0, 2.5 * loop.band_px); }

double corner_reach_px(const SpacedLoop& loop) { return std::max(8.0, 1.5 * loop.scale_px); }

double bare_px(const SpacedLoop& loop, const Pin& pin) {
  return pin.length_px > 0 ? pin.length_px : std::max(6.0, loop.band_px);
}

double node_reach_px(const SpacedLoop& loop, const Pin& pin) {
  constexpr double usual_corner_deg = 90;
  return pin.turn == Pin::Turn::corner ? std::max(loop.limit_px, farthest_apex_px(loop, usual_corner_deg))
                                       : loop.limit_px;
}

}  // namespace batten
