#pragma once
// Stage: what lies farther off its located line than it may is mended, after refining and before straightening, which
// keeps what it finds.

#include "base/plane.h"
#include "base/progress.h"
#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Repairs of each outline, in this order:
/// 1. A corner that lies off its line at a place without ink comes back along the way to the line until there is ink
///    (from paper, within 0.6 widths). Without `ink` (grid coordinates), as for polylines, that is not asked.
/// 2. A limit that is finer than the line is known is held everywhere: whatever is over it is divided, straights too.
/// 3. Where a segment lies farther off than the larger of its limit and 2 px, which nobody takes for the drawing, the
///    best of a few changes is made, again and again: a smooth node at the farthest place, a corner at an end that
///    becomes smooth or comes to lie on the line, or both. A change that does not bring the place a tenth nearer is
///    not made.
/// 4. Small loops are cut off (cut_tangles), and corners that reach far beyond the line come back.
/// 5. What strays all the same, or crosses itself, is fitted plainly, where that is better (fit_plainly).
/// The same draft comes back where nothing is off. When asked to stop it returns what it has.
Draft hold_limits(const SpacedLoops& loops, const Draft& draft, const Plane<float>& ink, const Options& options,
                  const std::stop_token& stop);

}  // namespace batten
