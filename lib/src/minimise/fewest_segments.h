#pragma once
// Stage helper of minimise: where the fewest cubics meet on a stretch of loop without fixed nodes inside.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// One end of a stretch.
struct StretchEnd {
  Point at;
  double arc = 0, angle = 0, zone_px = 0;  ///< zone_px: length beside a corner that is not to be trusted
  bool free = false;                       ///< the direction may turn (a corner)
};
StretchEnd stretch_end(const DraftNode& node, double angle);

/// Nodes strictly between two ends, the second way_px (> 0) ahead of the first, such that the stretch falls into the
/// fewest cubics that hold limit_px. How far one cubic reaches from a place hardly ever shrinks when the place moves on
/// (a part of a cubic is a cubic), so two pointers find every reach in O(candidates) fits, and the count is the
/// shortest path over the candidates (Plass & Stone, 1983); among paths of that count the one of least summed squared
/// error over a choice of candidates is taken. coarser: times as far from candidate to candidate as usual. `found` is
/// false if some gap between candidates can't be held.
struct FewestSegments {
  bool found = false;
  std::vector<DraftNode> nodes;
};
FewestSegments fewest_segments(const SpacedLoop& loop, const StretchEnd& from, const StretchEnd& to, double way_px,
                               double limit_px, double coarser = 1);

/// The same for a loop whose nodes may all lie anywhere: every start within the first segment is tried.
FewestSegments fewest_on_ring(const SpacedLoop& loop, double limit_px);

/// One cubic from one end to the other, largest distance and curve; a second try is made towards the smallest largest
/// distance where the first is not far over the limit. capped: keep to handle_caps().
/// only_held: the fit is given up where it is bound to stay over the limit.
struct SegmentFit {
  Cubic curve;
  double max_px = 0;
};
SegmentFit fit_stretch(const SpacedLoop& loop, const StretchEnd& a, const StretchEnd& b, double limit_px,
                       bool minimax = false, bool capped = true, bool only_held = false);

}  // namespace batten
