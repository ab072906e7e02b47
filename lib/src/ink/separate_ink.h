#pragma once
// Stage: scan -> how much ink covers each pixel, light and shade of the paper taken out.

#include "base/plane.h"
#include "base/progress.h"
#include "ink/find_holes.h"
#include "ink/load_scan.h"

namespace batten {

struct Ink {
  /// 1 - picture / paper: 0 bare paper, 1 black. SIGNED: paper grain goes below 0 as often as above; clipping it before
  /// an average would make paper look grey.
  Plane<float> ink;
  double noise = 0;  ///< standard deviation of `ink` on bare paper, > 0 even for noise-free pictures
  /// `ink` before pins changed it, where they did: what is usual on the sheet is read from it, so that a pin changes
  /// nothing elsewhere.
  Plane<float> unpinned;
  std::vector<Hole> holes;  ///< what shows through them is no ink; see lies_in_hole
};

/// What lies beyond the sheet is no ink. Errors: cancelled.
Result<Ink> separate_ink(const Scan& scan, const Progress& progress);

}  // namespace batten
