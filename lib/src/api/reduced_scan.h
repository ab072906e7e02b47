#pragma once
// Large scans are read in a smaller copy where the pencil's lines are broad enough for it: a line of 30 px is known no
// better than one of 15, takes four times as long, and the limits of the pixel stages were learnt on such as the
// latter.

#include "base/loops.h"
#include "batten/convert.h"
#include "shapes/find_patches.h"

namespace batten {

/// By how much a scan may be reduced, 1, 2, 4 ..: a copy has 12 megapixels at most and 3 at least. 12 are A4 at 350
/// dpi.
int largest_reduction(double width_px, double height_px);

/// What is asked for, in pixels of a copy: all that the pixel stages read. Lengths of pins are asked of curves only.
Options reduced(const Options& options, int reduction);

/// Is a copy good enough? Lines of letters at 300 dpi are 5 px wide in one stroke, 12 in many. At least 8 px in the
/// copy, but for a twentieth of the ink; and no shaded shapes, whose edges are known better at full size (0.59 against
/// 0.84 px).
bool is_broad_enough(const Ink& ink, const Patches& patches);

/// What was found in a copy, in the pixels of the scan of that size. Ink is interpolated.
Loops enlarged(Loops loops, int reduction, int width, int height);
void enlarge(int reduction, std::vector<Finding>* findings);

}  // namespace batten
