#include "corners/known_corners.h"

#include <algorithm>

namespace batten {

std::vector<Corner> known_corners(const SpacedLoop& loop, const KnownCurve& known) {
  constexpr double abrupt = 0.3;  // as a sharp corner measures
  std::vector<Corner> out;
  for (const KnownCurve::Corner& k : known.corners) {
    Corner c;
    c.arc = loop.open() ? k.arc : loop.curve.wrap(k.arc);
    c.apex = k.at, c.into = k.into, c.out_of = k.out_of;
    c.turn_deg = std::abs(degrees(turn_between(k.into, k.out_of)));
    c.abruptness = c.weighed_abruptness = abrupt;
    c.accepted = true, c.certainty = 1;
    c.zone_px = std::min(corner_zone_px(loop, c.turn_deg), 2 * loop.limit_px);  // a spike has no end of it
    out.push_back(c);
  }
  std::stable_sort(out.begin(), out.end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
  return out;
}

}  // namespace batten
