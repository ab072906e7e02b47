#include "structure/pin_structure.h"

#include <algorithm>
#include <utility>

#include "base/polyline.h"
#include "structure/pin_corners.h"
#include "structure/pin_straights.h"

namespace batten {
namespace {

bool mostly_inside(const SpacedLoop& loop, const Polyline& polygon) {
  const std::size_t count = loop.curve.drawn_count(), step = std::max<std::size_t>(1, count / 200);
  std::size_t inside = 0, all = 0;
  for (std::size_t i = 0; i < count; i += step) ++all, inside += contains(polygon, loop.curve.points[i]);
  return 2 * inside > all;
}

// Forgets the pinned straights that are not among those of the loop: the line bends too far for them. Were there any?
bool drop_missing(const std::vector<Straight>& straights, LoopPins* pins) {
  std::vector<PinnedStretch> kept;
  for (std::size_t i = 0; i < pins->straights.size(); ++i)
    if (std::any_of(straights.begin(), straights.end(), [&](const Straight& s) { return s.pin == int(i); }))
      kept.push_back(pins->straights[i]);
  if (kept.size() == pins->straights.size()) return false;
  pins->straights = std::move(kept);
  return true;
}

}  // namespace

Result<PinnedStructure> pin_structure(const SpacedLoops& loops, const Corners& corners, const Straights& straights,
                                      const std::vector<Pin>& pins, Progress& progress) {
  PinnedStructure out{loops, corners, straights, attach_pins(loops, corners, pins, progress.stop_token())};
  for (std::size_t k = 0; k < loops.loops.size(); ++k) {
    if (progress.stopped()) return progress.cancelled();
    SpacedLoop& loop = out.loops.loops[k];
    loop.pins = out.attached.of_loop[k];
    if (loop.pins.empty()) continue;
    out.corners.of_loop[k] = pin_corners(loop, corners.of_loop[k]);
    // Straights end at corners: they are looked for again. Those of a drawn curve are known.
    std::vector<Straight> found = straights.of_loop[k];
    if (!loop.is_known) {
      auto again = find_straights({{loop}}, {{out.corners.of_loop[k]}, {}}, progress);
      if (!again) return again.error();
      found = std::move(again->of_loop[0]);
    }
    out.straights.of_loop[k] = pin_straights(loop, out.corners.of_loop[k], found);
    if (drop_missing(out.straights.of_loop[k], &loop.pins))
      out.straights.of_loop[k] = pin_straights(loop, out.corners.of_loop[k], found);
    // What cannot be had changes nothing.
    if (loop.pins.empty()) out.corners.of_loop[k] = corners.of_loop[k], out.straights.of_loop[k] = straights.of_loop[k];
  }
  return out;
}

SpacedLoops with_pinned_tolerances(const SpacedLoops& loops, const std::vector<Pin>& pins) {
  SpacedLoops out = loops;
  for (const Pin& pin : pins) {
    if (pin.kind != Pin::Kind::tolerance) continue;
    for (SpacedLoop& loop : out.loops)
      if (mostly_inside(loop, pin.places)) loop.tolerance_px = loop.limit_px = pin.length_px;
  }
  return out;
}

}  // namespace batten
