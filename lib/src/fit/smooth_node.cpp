#include "fit/smooth_node.h"

namespace batten {

double direction_window_px(const SpacedLoop& loop) { return loop.exact() ? 3 : 3 + 0.7 * loop.band_px; }

DraftNode smooth_node(const SpacedLoop& loop, double arc, Reason reason) {
  const double half = direction_window_px(loop);
  const LocalFit f = local_quadratic(loop.curve, arc - half, arc + half, arc);
  DraftNode j;
  j.at = j.anchor = f.at;
  j.arc = loop.curve.wrap(arc);
  j.angle = angle_of(f.tangent);
  j.reason = reason;
  return j;
}

}  // namespace batten
