#pragma once
// Stage: ink -> connected patches of ink, each with its width of band and its kind.

#include "base/progress.h"
#include "ink/measure_patch.h"
#include "ink/separate_ink.h"

namespace batten {

/// Ink that belongs together: pieces of lines with the gaps between them closed, or one shaded area.
struct Patch {
  int label = 0;  ///< its value in Patches::labels
  PixelBox box;   ///< where that value occurs
  Kind kind = Kind::outlined;
  PatchMeasure measure;
  bool has_lines = false;  ///< filled: pale lines lead up to it, which are no part of the shape
};

struct Patches {
  Plane<std::int32_t> labels;  ///< 0: no patch. Grown past the ink by 0.8 W round outlined patches, so that gaps close
  std::vector<Patch> patches;
};

/// Specks (longest side below a size tied to W, or far fainter than the sheet's ink) are dropped and reported.
/// Errors: cancelled.
Result<Patches> find_patches(const Ink& ink, const Options& options, const Progress& progress,
                             std::vector<Finding>* findings);

/// The ink of one patch within a box of the sheet; the ink of other patches is set to 0.
Plane<float> ink_of_patch(const Ink& ink, const Patches& patches, const Patch& patch, PixelBox box);

/// px^2 of ink; less is a speck or a hole that grain can make. Graphite has grain, and hatching has gaps.
inline double least_fill_px2(bool crisp) { return crisp ? 12 : 150; }

}  // namespace batten
