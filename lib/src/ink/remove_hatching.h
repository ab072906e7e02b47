#pragma once
// Stage hatching: where a shape is outlined and hatched in, the hatching is taken out of the ink and the outline stays.

#include "base/progress.h"
#include "ink/separate_ink.h"

namespace batten {

/// Hatching is ink of one or two directions that fills a closed line with narrow gaps of paper between its strokes. It
/// is taken out from a little way inside the line (where the line's own ink has ended), so that what is left is a line
/// drawn round a shape. Strokes may cross, as long as less than half of their darkness shows between them. Dense
/// shading stays, and so does what is not closed round. Each shape is reported. Lengths are counted in widths of a
/// stroke, as measured on this sheet. Errors: cancelled.
Result<Ink> remove_hatching(Ink ink, const Progress& progress, int threads, std::vector<Finding>* findings);

}  // namespace batten
