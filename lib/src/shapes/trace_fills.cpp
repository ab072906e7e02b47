#include "shapes/trace_fills.h"

#include <cmath>

#include "base/level_loops.h"
#include "shapes/fill_contrast.h"

namespace batten {

std::vector<RoughLoop> trace_fills(const Ink& ink, const Patches& patches, int patch) {
  const Patch& p = patches.patches[patch];
  const PixelBox box = grown(p.box, 8, ink.ink.width, ink.ink.height);
  const Plane<float> contrast = fill_contrast(ink_of_patch(ink, patches, p, box), p.measure);
  std::vector<RoughLoop> out;
  for (Polyline& loop : level_loops(contrast, 0)) {
    if (std::abs(signed_area_px2(loop)) < least_fill_px2(p.measure.crisp)) continue;
    for (Point& q : loop) q = q + Point{double(box.x), double(box.y)};
    out.push_back({std::move(loop), patch});
  }
  return out;
}

}  // namespace batten
