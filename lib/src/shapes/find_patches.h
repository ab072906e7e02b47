#pragma once
// Stage patches: ink -> connected patches of ink, each with its width of band and its kind.

#include <cstdint>
#include <vector>

#include "base/plane.h"
#include "base/progress.h"
#include "ink/measure_patch.h"
#include "ink/separate_ink.h"

namespace batten {

struct Patch {
  int label = 0;  ///< its value in Patches::labels
  PixelBox box;   ///< where that value occurs
  Kind kind = Kind::outlined;
  PatchMeasure measure;
};

struct Patches {
  Plane<std::int32_t> labels;  ///< 0: no patch. Grown past the ink by 0.8 W round outlined patches, so that gaps close
  std::vector<Patch> patches;
};

/// Specks (longest side below a size tied to W, or far fainter than the sheet's ink) are dropped and reported.
/// Errors: cancelled.
Result<Patches> find_patches(const Ink& ink, const Options& options, Progress& progress,
                             std::vector<Finding>& findings);

/// The ink of one patch in its box (grown by a rim of margin_px, clipped to the sheet); other patches' ink is set to 0.
Plane<float> ink_of_patch(const Ink& ink, const Patches& patches, const Patch& patch, PixelBox box);
PixelBox grown(PixelBox box, int margin_px, int width, int height);

}  // namespace batten
