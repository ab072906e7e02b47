#pragma once
// The curve stages again for the outlines that pins are about; the others stay as they are, byte for byte.

#include "api/curve_stages.h"
#include "structure/attach_pins.h"

namespace batten {

/// Is it about an outline, or about how nearly one is held?
bool changes_curves(Pin::Kind kind);

/// The caller's pins where the loops are: moved with the origin, in their unit, turned with the sheet.
std::vector<Pin> pins_on(const Structure& s, const std::vector<Pin>& pins);

/// What is known without pins, and which of its loops each loop is.
struct Unpinned {
  Curves curves;             ///< with an empty draft for each loop that was none before
  std::vector<int> loop_of;  ///< of each loop; -1: there was no such loop without pins about the scan
};
/// `before`: all loops without pins about the scan.
Unpinned unpinned_for(const Structure& s, const Structure& before, const Curves& known);

struct PinnedCurves {
  Structure structure;
  Curves curves;
  AttachedPins attached;
  std::vector<char> changed;  ///< of each loop: it is not as in `known`
};

/// `s` has no pins about outlines yet. What ties an outline with pins to one without is given up where the other
/// would have to move.
Result<PinnedCurves> pinned_curves(const Structure& s, const Unpinned& known, const std::vector<Pin>& pins,
                                   const Plane<float>& ink, const Options& options, const Job& job, const Span& span);

}  // namespace batten
