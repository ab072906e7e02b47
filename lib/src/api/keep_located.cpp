#include "api/keep_located.h"

#include <algorithm>

#include "base/polyline.h"
#include "base/vec.h"

namespace batten {
namespace {

// Two runs over the same ink differ by tenths of a pixel where the width of the pencil was read differently.
constexpr double same_px = 1.5;
constexpr double beside_px = 3;  // a cut and its rim, the end of a stroke that closes a gap

bool meets(const PointBox& a, const PointBox& b, double margin_px) {
  return a.low.x <= b.high.x + margin_px && b.low.x <= a.high.x + margin_px && a.low.y <= b.high.y + margin_px &&
         b.low.y <= a.high.y + margin_px;
}

bool touches(const Loop& loop, const Pin& pin) {
  if (!meets(box_of(loop.points), box_of(pin.places), beside_px)) return false;
  return std::any_of(loop.points.begin(), loop.points.end(), [&](Point p) {
    if (pin.places.size() > 2) return contains(pin.places, p);
    return distance(p, nearest_on_segment(p, pin.places[0], pin.places[1])) < beside_px;
  });
}

bool lies_on(const Loop& a, const Loop& b) {
  for (std::size_t i = 0; i < a.points.size(); i += 3)
    if (std::none_of(b.points.begin(), b.points.end(), [&](Point p) { return distance(p, a.points[i]) < same_px; }))
      return false;
  return true;
}

bool same_line(const Loop& a, const Loop& b) {
  if (a.kind != b.kind || a.open != b.open) return false;
  const PointBox p = box_of(a.points), q = box_of(b.points);
  return distance(p.low, q.low) < 2 * same_px && distance(p.high, q.high) < 2 * same_px && lies_on(a, b) &&
         lies_on(b, a);
}

}  // namespace

Loops keep_located(const Loops& loops, const Loops& unpinned, const std::vector<Pin>& pins) {
  Loops out = loops;
  for (Loop& loop : out.loops) {
    if (loop.open || std::any_of(pins.begin(), pins.end(), [&](const Pin& pin) {
          return is_about_scan(pin.kind) && pin.kind != Pin::Kind::tolerance && touches(loop, pin);
        }))
      continue;
    const auto known = std::find_if(unpinned.loops.begin(), unpinned.loops.end(),
                                    [&](const Loop& other) { return same_line(loop, other); });
    if (known != unpinned.loops.end()) loop = *known;
  }
  return out;
}

}  // namespace batten
