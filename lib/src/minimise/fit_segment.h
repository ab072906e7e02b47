#pragma once
// Fits one cubic to the stretch of loop between two nodes.

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "fit/window.h"

namespace batten {

/// One end of a stretch.
struct StretchEnd {
  Point at;
  double arc = 0, angle = 0, zone_px = 0;  ///< zone_px: length beside a corner that is not to be trusted
  bool free = false;                       ///< the direction may turn (a corner)
};
StretchEnd stretch_end(const DraftNode& node, double angle);

struct StretchFitOptions {
  bool minimax = false;       ///< always on to the smallest largest distance; else only where that may save the limit
  bool capped = true;         ///< keep to handle_caps()
  bool only_if_held = false;  ///< give up where the fit is bound to stay over the limit
};

struct StretchFit {
  Cubic curve;
  double max_px = 0;  ///< largest distance of the loop's points from the curve, or of a spur of the curve from them
};

/// The best cubic from one end to the other. Least squares come first; where they end not far over limit_px, Madsen's
/// method (fit_cubic.h) looks for the smallest largest distance.
StretchFit fit_stretch(const SpacedLoop& loop, const StretchEnd& a, const StretchEnd& b, double limit_px,
                       const StretchFitOptions& options = {});

/// Fits one cubic to a segment of the draft: its nodes stay, its handles and the directions at its corners are set. A
/// straight stays as it is. Returns the largest distance, px.
double fit_segment(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, const StretchFitOptions& options = {});

/// fit_segment() for each of some segments; all directions are up to date before and after.
void fit_segments(const SpacedLoop& loop, DraftLoop* d, const Window& segments, const StretchFitOptions& options = {});

}  // namespace batten
