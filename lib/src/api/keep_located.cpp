#include "api/keep_located.h"

#include <algorithm>

#include "base/polyline.h"
#include "base/vec.h"

namespace batten {
namespace {

// Two runs over the same ink differ by tenths of a pixel where the width of the pencil was read differently.
constexpr double same_px = 1.5;
constexpr double beside_px = 6;  // a pin changes ink no farther from its places than lines are wide

bool meets(const PointBox& a, const PointBox& b, double margin_px) {
  return a.low.x <= b.high.x + margin_px && b.low.x <= a.high.x + margin_px && a.low.y <= b.high.y + margin_px &&
         b.low.y <= a.high.y + margin_px;
}

double to_side_px(Point p, Point a, Point b) {
  const Point along = b - a;
  const double t = norm2(along) > 0 ? std::clamp(dot(p - a, along) / norm2(along), 0.0, 1.0) : 0;
  return distance(p, a + t * along);
}

bool touches(const Loop& loop, const Pin& pin) {
  const double near_px = beside_px + loop.band_px;
  if (!meets(box_of(loop.points), box_of(pin.places), near_px)) return false;
  const bool region = pin.places.size() > 2;
  return std::any_of(loop.points.begin(), loop.points.end(), [&](Point p) {
    if (region && contains(pin.places, p)) return true;
    for (std::size_t i = 0; i < pin.places.size(); ++i)
      if (to_side_px(p, pin.places[i], pin.places[(i + 1) % pin.places.size()]) < near_px) return true;
    return false;
  });
}

bool lies_on(const Loop& a, const Loop& b) {
  for (std::size_t i = 0; i < a.points.size(); i += 3)
    if (std::none_of(b.points.begin(), b.points.end(), [&](Point p) { return distance(p, a.points[i]) < same_px; }))
      return false;
  return true;
}

bool same_line(const Loop& a, const Loop& b) {
  return a.kind == b.kind && a.open == b.open && meets(box_of(a.points), box_of(b.points), 0) && lies_on(a, b) &&
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
