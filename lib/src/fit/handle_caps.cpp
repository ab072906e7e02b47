#include "fit/handle_caps.h"

#include <algorithm>

namespace batten {

HandleCaps handle_caps(Point p0, Point t0, Point p3, Point t3) {
  const Point chord = p3 - p0;
  const double len = std::max(norm(chord), 1e-9);
  const double side0 = cross(chord, t0) / len, side3 = cross(chord, t3) / len;  // sines against the chord
  constexpr double meet_share = 0.95, inflected = 0.7, round = 1.6;
  const bool forward = dot(t0, chord) > 0 && dot(t3, chord) > 0;
  HandleCaps caps{round * len, round * len};
  const double den = cross(t0, t3);
  if (side0 * side3 > 0 && forward) {
    caps = {inflected * len, inflected * len};
  } else if (std::abs(den) > 1e-6) {
    const double u = cross(chord, t3) / den, v = cross(t0, chord) / den;
    if (u > 0 && v > 0) caps = {std::min(meet_share * u, round * len), std::min(meet_share * v, round * len)};
  } else if (forward && dot(t0, t3) > 0) {
    caps = {0.62 * len, 0.62 * len};  // parallel, same sense, on one line: no meeting point to measure by
  }
  const double least = shortest_handle * len;
  return {std::max(caps.start_px, 1.5 * least), std::max(caps.end_px, 1.5 * least)};
}

}  // namespace batten
